"""The odds of a plan: run it through many nights and tell what came of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from smallhours.bakery.process.habits import LIVING
from smallhours.errors import BadInput
from smallhours.planning.odds.blame import Blame
from smallhours.planning.odds.document import DoughOdds, Hurt, NightOdds, OrderOdds, Overtime
from smallhours.planning.odds.network import Network, network
from smallhours.planning.odds.run import Run, run
from smallhours.planning.odds.spread import Draws, Spread
from smallhours.planning.plan import ASIDE, Plan, PlanOrder

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Times = NDArray[np.float64]

NIGHTS = 300
MOST_NIGHTS = 20_000
USUAL = Spread()
COUNTS_S = 60.0  # less than a minute is nobody's fault
_SPOILS = (*LIVING, "retard", "bake")


def night_odds(
    plan: Plan, *, nights: int = NIGHTS, seed: int = 1, spread: Spread = USUAL, grace_s: float | None = None
) -> NightOdds:
    """How a plan fares in nights that could be, the same for the same seed.

    ``grace_s``: how late an order may be and still count as on time (one tick of the plan if not given).
    Raises BadInput for a number of nights outside 1 to 20,000 or a seed below 0.
    """
    if not 1 <= nights <= MOST_NIGHTS:
        raise BadInput(f"the number of nights must be from 1 to {MOST_NIGHTS:,} (found {nights})")
    if seed < 0:
        raise BadInput(f"the seed must be 0 or more (found {seed})")
    grace = float(plan.tick_s) if grace_s is None else grace_s
    net, draws = network(plan), Draws(nights, seed, spread)
    soonest, meant = run(net, draws), run(net, draws, wanted=True)
    orders = _Orders(plan, net, soonest, grace)
    as_wanted = _Orders(plan, net, meant, grace)
    chance = orders.all_on_time()
    told = orders.told(as_wanted)
    return NightOdds(
        nights=nights,
        seed=seed,
        grace_s=grace,
        all_on_time=chance,
        all_on_time_error=math.sqrt(chance * (1.0 - chance) / nights),
        all_on_time_as_wanted=as_wanted.all_on_time(),
        orders=told,
        weakest=min(range(len(told)), key=lambda n: (told[n].on_time, -told[n].late_s), default=None),
        hurts=orders.hurts(),
        doughs=tuple(sorted(_doughs(plan, soonest), key=lambda d: (-d.over, d.batch))),
        overtime=tuple(_overtime(plan, soonest, grace)),
        assumed=spread.assumed(),
    )


class _Orders:
    """Orders of a plan in the nights of a run."""

    def __init__(self, plan: Plan, net: Network, done: Run, grace_s: float) -> None:
        import numpy as np

        self.plan, self.net, self.done, self.grace_s = plan, net, done, grace_s
        self.nights = len(next(iter(done.at.values()))) if done.at else 0
        last = _last_jobs(plan)
        self.jobs = [[last[share.lot] for share in order.lots if share.lot in last] for order in plan.orders]
        self.late = [self._late(order, jobs) for order, jobs in zip(plan.orders, self.jobs, strict=True)]
        self.is_late = [late > grace_s for late in self.late]
        self.any_late = np.any(self.is_late, axis=0) if self.is_late else np.zeros(max(1, self.nights), dtype=bool)

    def _late(self, order: PlanOrder, jobs: list[int]) -> Times:
        import numpy as np

        due_s = (order.due - self.plan.horizon_start).total_seconds()
        if order.ready is None or not jobs:
            return np.full(max(1, self.nights), np.inf)
        ready: Times = np.max([self.done.at["ready", job] for job in jobs], axis=0)
        return ready - due_s

    def all_on_time(self) -> float:
        """The share of nights in which nothing is late."""
        return 1.0 - float(self.any_late.mean())

    def waits(self) -> tuple[Blame, list[Times]]:
        """For each order, seconds put down to each cause in each night; nothing where it is on time."""
        import numpy as np

        blame = Blame(self.done)
        found = []
        for jobs, late, late_s in zip(self.jobs, self.is_late, self.late, strict=True):
            mine = np.zeros((len(late), len(blame.causes)))
            nights = np.flatnonzero(late)
            if jobs and len(nights):
                which = np.argmax([self.done.at["ready", job][nights] for job in jobs], axis=0)
                rows = np.array([blame.number["ready", job] for job in jobs])[which]
                # what made it later than it is in the end was caught up on the way
                mine[nights] = np.minimum(blame.back_from(rows, nights), late_s[nights, None])
            found.append(mine)
        return blame, found

    def told(self, as_wanted: _Orders) -> tuple[OrderOdds, ...]:
        """Every order's odds, in the order of the plan."""
        blame, waits = self.waits()
        self._kept = blame, waits
        return tuple(
            self._told(n, order, as_wanted, blame, waits[n]) for n, order in enumerate(self.plan.orders)
        )  # fmt: skip

    def _told(self, n: int, order: PlanOrder, as_wanted: _Orders, blame: Blame, waits: Times) -> OrderOdds:
        import numpy as np

        made = np.isfinite(self.late[n]).all()
        late = np.maximum(self.late[n], 0.0) if made else np.zeros(1)
        sums = waits.sum(axis=0)
        sums[0] = 0.0
        most = int(sums.argmax())
        return OrderOdds(
            customer=order.customer,
            product=order.product,
            pieces=order.pieces,
            on_time=1.0 - float(self.is_late[n].mean()),
            on_time_as_wanted=1.0 - float(as_wanted.is_late[n].mean()),
            late_s=round(float(late.mean()), 1),
            late_p90_s=round(float(np.quantile(late, 0.9)), 1),
            waits_on=blame.causes[most].removeprefix("dough:") if sums[most] > 0 else None,
        )

    def hurts(self) -> tuple[Hurt, ...]:
        """Every cause that made an order late in some night, the most frequent first."""
        import numpy as np

        blame, waits = self._kept
        if not waits:
            return ()
        worst = np.max(waits, axis=0)
        names = _names(self.plan)
        found = []
        for index, cause in enumerate(blame.causes):
            hit = worst[:, index] > COUNTS_S
            if cause and hit.any():
                name, kind = names[cause]
                found.append(
                    Hurt(
                        id=cause.removeprefix("dough:"), name=name, kind=kind,
                        share=float(hit.mean()), wait_s=round(float(worst[hit, index].mean()), 1),
                    )
                )  # fmt: skip
        return tuple(sorted(found, key=lambda hurt: (-hurt.share, -hurt.wait_s, hurt.id)))


def _names(plan: Plan) -> Mapping[str, tuple[str, str]]:
    named = {resource.id: (resource.name, "resource") for resource in plan.resources}
    named |= {person.id: (person.name, "person") for person in plan.people}
    return named | {f"dough:{batch.id}": (batch.name, "dough") for batch in plan.batches}


def _last_jobs(plan: Plan) -> dict[str, int]:
    """Lot -> the task with which it is ready."""
    last: dict[str, int] = {}
    for index, task in enumerate(plan.tasks):
        if task.lot is None or task.kind in ASIDE:
            continue
        known = last.get(task.lot)
        if known is None or (plan.tasks[known].end, plan.tasks[known].start) <= (task.end, task.start):
            last[task.lot] = index
    return last


def _doughs(plan: Plan, done: Run) -> Iterator[DoughOdds]:
    """Batches that stand beyond their latest, with the task where they do so most often."""
    import numpy as np

    names = {batch.id: batch.name for batch in plan.batches}
    over: dict[str, list[tuple[str, Times]]] = {}
    for batch, task, beyond in _beyond(plan, done):
        over.setdefault(batch, []).append((task, beyond))
    for batch, mine in over.items():
        worst = np.max([beyond for _, beyond in mine], axis=0)
        hit = worst > COUNTS_S
        if hit.any():
            task = max(mine, key=lambda each: (float((each[1] > COUNTS_S).mean()), each[0]))[0]
            yield DoughOdds(
                batch=batch, name=names.get(batch, batch), over=float(hit.mean()),
                over_s=round(float(worst[hit].mean()), 1), task=task,
            )  # fmt: skip


def _beyond(plan: Plan, done: Run) -> Iterator[tuple[str, str, Times]]:
    """(batch, task, seconds beyond the latest) of everything that can stand too long: in its stage, or after it."""
    for index, job in enumerate(done.net.jobs):
        if job.task is None:
            continue
        longest: Times | float
        factor: Times | float = done.factors.get(index, 1.0) if job.task.kind in LIVING else 1.0
        if job.task.kind in _SPOILS:
            longest = max(job.task.window.max_s, job.length_s) * factor
            stood = done.at["gone", index] - done.at["start", index]
            yield job.task.batch, job.task.id, stood - longest
        for other, link in job.after:
            if link.max_s is None or link.after_side != "start":
                continue
            planned_s = done.net.jobs[other].start_s
            if link.before_side == "start":
                longest = max(link.max_s, planned_s - job.start_s) * factor
                waited = done.at["start", other] - done.at["start", index]
            else:
                longest = max(link.max_s, planned_s - job.end_s)
                waited = done.at["start", other] - done.at["gone", index]
            yield job.task.batch, job.task.id, waited - longest


def _overtime(plan: Plan, done: Run, grace_s: float) -> Iterator[Overtime]:
    import numpy as np

    zero = plan.horizon_start
    for person in plan.people:
        hours = [((h.start - zero).total_seconds(), (h.end - zero).total_seconds()) for h in person.hours]
        beyond = []
        for number, piece in enumerate(done.net.pieces):
            if piece.person == person.id:
                home_s = max((b for a, b in hours if a <= piece.start_s < b), default=math.inf)
                beyond.append(done.at["free", number] - home_s)
        worst = np.max(beyond, axis=0) if beyond else np.zeros(1)
        hit = worst > grace_s
        if hit.any():
            yield Overtime(
                person=person.id, name=person.name, share=float(hit.mean()), over_s=round(float(worst[hit].mean()), 1)
            )
