"""Why something is late, or why nothing fits, in the words of the bakery."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import BatchPlan
from smallhours.bakery.quantity import write_duration
from smallhours.planning import plan as p
from smallhours.planning.engine.explain import Reason, lateness_reasons, name_of_change
from smallhours.planning.shift.allergens import WATCHED
from smallhours.planning.shift.cleaning import doc_resource
from smallhours.planning.shift.equipment import BENCH, DOOR, OPENINGS
from smallhours.planning.shift.people import POOL
from smallhours.planning.shift.steps import Step
from smallhours.planning.shift.taken import OTHER
from smallhours.planning.shift.write_plan import Writer

if TYPE_CHECKING:
    from smallhours.planning.engine.clash import Limit

_MOST_BEHIND = 3


def notes(made: BatchPlan, kitchen: Kitchen) -> tuple[str, ...]:
    """What a baker should know before she reads the plan: batches that do not fit their bowls, people without hours."""
    idle = [person.name for person in kitchen.people if not person.hours]
    said = [str(finding) for finding in made.problems]
    return (*said, *(f"{name} has no hours, so no work is planned for {name}" for name in idle))


def late_reasons(writer: Writer) -> tuple[p.LateReason, ...]:
    """One reason for every late lot: the last thing on its way that it had to wait for."""
    steps = {step.id: step for step in writer.night.steps()}
    found: dict[str, p.LateReason] = {}
    for reason in lateness_reasons(writer.question.problem, writer.solution):
        step = steps[reason.task]
        if step.about not in found:
            found[step.about] = _reason(writer, reason, steps)
    return tuple(sorted(found.values(), key=lambda r: (-r.late_s, r.product)))


def _reason(writer: Writer, reason: Reason, steps: Mapping[str, Step]) -> p.LateReason:
    zone = writer.kitchen.zone()
    late = steps[reason.task]
    late_s = float(reason.late_by * writer.clock.tick_s)
    told = (_said(t, steps, writer) for t in reason.blocked_by)
    behind = tuple(dict.fromkeys(said for said in told if said is not None))[:_MOST_BEHIND]
    waiting = steps[reason.waiting].stage.key if reason.waiting in steps else reason.waiting
    return p.LateReason(
        product=late.lot.product if late.lot else late.batch.formula.id,
        late_s=late_s,
        resource=None if reason.resource is None else _in_the_plan(writer, reason.resource),
        start=writer.clock.instant(reason.start) if reason.resource else None,
        end=writer.clock.instant(reason.end) if reason.resource else None,
        behind=behind,
        sentence=f"{_whose(writer, late)} is {write_duration(late_s)} late: "
        f"{_waits(writer, reason, waiting, behind, zone)}",
    )


def _whose(writer: Writer, late: Step) -> str:
    if late.lot is None:
        return late.batch.id
    due = late.lot.due.astimezone(writer.kitchen.zone())
    return f"{writer.formulas[late.lot.product].name} ({late.lot.pieces} for {due:%H:%M})"


def _waits(writer: Writer, reason: Reason, waiting: str, behind: tuple[str, ...], zone: ZoneInfo) -> str:
    if reason.kind == "window":
        return f"from the earliest start of its stage {waiting} its shortest stages do not fit before it is due"
    if reason.resource is None:
        return "nothing holds it up for certain: the planner ran out of time, give it longer (--limit)"
    until = f"{writer.clock.instant(reason.end).astimezone(zone):%H:%M}"
    what = "free hands" if reason.resource == POOL else _resource_name(writer, reason.resource)
    if reason.kind == "calendar":
        return f"its stage {waiting} waits until {until}: before that there is no {what.lower()}"
    if reason.kind == "state" and reason.resource.endswith(WATCHED):
        return f"its stage {waiting} waits until {until} for {what} to be cleaned" + _after(behind, "after")
    if reason.resource.endswith(OPENINGS):
        return f"its stage {waiting} waits until {until}: {what} would be opened too often in an hour" + _after(behind)
    if reason.kind == "state":
        return f"its stage {waiting} waits until {until} for {what} to change its set temperature" + _after(behind)
    return f"its stage {waiting} waits for {what} until {until}" + _after(behind)


def _after(behind: tuple[str, ...], word: str = "behind") -> str:
    return f" {word} " + ", ".join(behind) if behind else ""


def _in_the_plan(writer: Writer, resource_id: str) -> str:
    """The plan's resource for one of the engine: of the states of a mixer or bench, the mixer or bench; of a door, what
    it belongs to."""
    if not resource_id.endswith(WATCHED):
        return resource_id.removesuffix(DOOR).removesuffix(OPENINGS)
    own = resource_id.removesuffix(WATCHED)
    return doc_resource(resource_id, writer.kitchen) or (own if own in writer.equipment.mixers else BENCH)


def _resource_name(writer: Writer, resource_id: str) -> str:
    called = _in_the_plan(writer, resource_id)
    return next((r.name for r in writer.resources() if r.id == called), called)


def _said(task_id: str, steps: Mapping[str, Step], writer: Writer) -> str | None:
    step = steps.get(task_id)
    if task_id.startswith(OTHER):
        return OTHER
    if step is None:
        cleaned = next((r for r in writer.question.problem.resources if name_of_change(r.id) == task_id), None)
        return None if cleaned is None else f"the cleaning of {_resource_name(writer, cleaned.id)}"
    name = writer.formulas[step.lot.product].name if step.lot else step.batch.formula.name
    return f"{step.stage.key} of {name}"


def why_nothing_fits(writer: Writer) -> tuple[str, ...]:
    """For a night in which nothing fits: the limits that contradict one another."""
    from smallhours.planning.engine.clash import clash  # solves again; only wanted when there is no plan

    if writer.solution.stopped:
        return ("stopped before a first plan was found",)
    if writer.solution.status != "infeasible":
        return ("no plan was found in the time given; give the planner longer (--limit)",)
    found = clash(writer.question.problem)
    if found is None:
        return ()
    return ("these limits cannot all hold: " + "; ".join(_limit(writer, limit) for limit in found.limits),)


def _limit(writer: Writer, limit: Limit) -> str:
    if limit.kind == "states" and limit.ids[0].endswith(WATCHED):
        name = _resource_name(writer, limit.ids[0])
        return f"{name} is cleaned between what holds an allergen and what has to be free from it"
    return limit.text
