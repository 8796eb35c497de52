"""The plan of a night: what a baker follows, and everything an outsider needs to check it.

Schema name ``smallhours.plan/1``. Instants are UTC; durations are elapsed seconds, also in a night in which the
clocks change. Nothing here knows the solver.
"""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict

from smallhours.bakery.shift.happened import Happened
from smallhours.planning.odds.document import NightOdds

PLAN_SCHEMA = "smallhours.plan/1"
PANS = frozenset(("pans-cool", "pans-wait"))
"""Kinds of tasks in which pans are taken outside the stages of their lot."""
ASIDE = PANS | {"clean"}
"""Kinds of tasks that are about equipment: nothing becomes of the dough meanwhile."""


def _happened(value: object) -> object:
    """What happened, read as a document: as forgiving as documents are, also where a plan is read strictly."""
    return Happened.model_validate(value) if isinstance(value, Mapping) else value


class PlanPart(BaseModel):
    """Base of the pieces of a plan: frozen, nothing unknown inside."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Window(PlanPart):
    """How long a stage may take: least, wanted, most; and the 80 % interval of what it will really need.

    ``rests_on``: in one sentence, what these numbers rest on. ``temper_s``: how much of its end is spent in the room,
    out of the cold; None: as much as the formula says.
    """

    min_s: float
    preferred_s: float
    max_s: float
    low_s: float | None = None
    high_s: float | None = None
    rests_on: str = ""
    temper_s: float | None = None


class Use(PlanPart):
    """``amount`` units of a resource from ``start`` to ``end``."""

    resource: str
    amount: int
    start: AwareDatetime
    end: AwareDatetime


class Hands(PlanPart):
    """A person's hands on a task from ``start`` to ``end``."""

    person: str
    start: AwareDatetime
    end: AwareDatetime


class PlanTask(PlanPart):
    """One stage of one batch, lot or part, placed in time.

    ``batch`` is the dough or part batch it belongs to; ``lot`` the oven lot, once the dough is divided. ``way``: which
    of the formula's ways was chosen (``main`` or the place of an ``instead``). ``pieces``: pieces it handles.
    ``holds``/``free_from``: of the allergens that something of this night has to be free from, those in this dough
    or piece by the end of the stage, and those it has to be kept free from. Of kind ``clean``: the place is cleaned of
    what it ``holds``, for the batch or lot that has to be ``free_from`` it.
    ``state``: in a plan made while the night runs, what has begun or ended by then; its times are then what happened.
    ``shut_s``: for so long after its start its deck stays shut, for its steam.
    ``attention``: hands ``throughout``, ``none``, or at its ``ends``: for its first ``hands_start_s`` and its last
    ``hands_end_s`` seconds.
    """

    id: str
    kind: str
    stage: str
    name: str
    batch: str
    lot: str | None = None
    formula: str
    part: str
    pieces: int | None = None
    place: str
    way: str = "main"
    start: AwareDatetime
    end: AwareDatetime
    window: Window
    uses: tuple[Use, ...] = ()
    attention: Literal["throughout", "ends", "none"] = "none"
    hands_start_s: float = 0
    hands_end_s: float = 0
    hands: tuple[Hands, ...] = ()
    set_temp_c: float | None = None
    steam: bool = False
    shut_s: float = 0
    holds: tuple[str, ...] = ()
    free_from: tuple[str, ...] = ()
    state: Literal["planned", "running", "done", "lost"] = "planned"


class PlanLink(PlanPart):
    """``before``'s side + ``min_s`` <= ``after``'s side <= ``before``'s side + ``max_s`` (no limit if None)."""

    before: str
    after: str
    before_side: Literal["start", "end"] = "end"
    after_side: Literal["start", "end"] = "start"
    min_s: float = 0
    max_s: float | None = None
    rule: str = ""


class CalendarPiece(PlanPart):
    """A stretch in which a resource has another capacity."""

    start: AwareDatetime
    end: AwareDatetime
    capacity: int


class PlanResource(PlanPart):
    """A mixer, bench, fridge, oven deck, stock of pans, racks or the people together.

    ``unit``: what is counted (batch, person, tray place, tin). ``change_s``: for an oven deck, ``"A>B"`` -> seconds
    from set temperature A to B in °C (``"start>B"`` from where it stands at the beginning, ``"A>A"`` off and on again).
    ``most_openings_per_h``: how often in any hour something may go into a cold place or come out (None: no limit).
    """

    id: str
    name: str
    kind: str
    unit: str
    capacity: int
    calendar: tuple[CalendarPiece, ...] = ()
    change_s: dict[str, float] = {}
    most_openings_per_h: int | None = None


class OvenStretch(PlanPart):
    """A deck at one set temperature: switched on or over at ``heat_from``, ready at ``start``, until ``end``."""

    deck: str
    set_temp_c: float
    heat_from: AwareDatetime
    start: AwareDatetime
    end: AwareDatetime


class PlanPerson(PlanPart):
    """A person's hours this night, the pauses that were placed, and from when to when they are ``needed``."""

    id: str
    name: str
    hours: tuple[CalendarPiece, ...] = ()
    breaks: tuple[CalendarPiece, ...] = ()
    needed: tuple[CalendarPiece, ...] = ()


class LotShare(PlanPart):
    """Pieces of one order that come from one lot."""

    lot: str
    pieces: int


class PlanOrder(PlanPart):
    """One order: when it is due, when it is ready, how late that is; ``free_from``: what the order itself says."""

    customer: str
    product: str
    pieces: int
    due: AwareDatetime
    ready: AwareDatetime | None
    late_s: float
    lots: tuple[LotShare, ...] = ()
    free_from: tuple[str, ...] = ()


class PlanLot(PlanPart):
    """Pieces of one product that go through shaping, proof and oven together; ``lost``: dropped, burnt, given up;
    ``free_places``: how many more pieces its pans would hold."""

    id: str
    product: str
    name: str
    pieces: int
    piece_mass_g: float
    pan: str | None = None
    pans: int = 0
    tray_places: int = 0
    due: AwareDatetime
    ready: AwareDatetime | None = None
    lost: bool = False
    free_places: int = 0


class LiquidAdvice(PlanPart):
    """How cold or warm the liquid must be for this batch, and what else is needed."""

    liquid: str
    target_dough_temp_c: float
    liquid_temp_c: float
    low_c: float | None = None
    high_c: float | None = None
    ice_g: float = 0
    rule_temp_c: float | None = None
    note: str = ""


class PlanBatch(PlanPart):
    """One bowl of one part: dough, preferment, filling or glaze. ``feeds``: the batches it goes into; ``lost``: given
    up, with all its lots; ``over_g``: how much of ``mass_g`` nobody ordered, and is left over."""

    id: str
    formula: str
    formula_revision: int | None = None
    part: str
    part_kind: str
    name: str
    mass_g: float
    flour_g: float
    mixer: str | None = None
    lots: tuple[PlanLot, ...] = ()
    feeds: tuple[str, ...] = ()
    liquid: LiquidAdvice | None = None
    lost: bool = False
    over_g: float = 0


class CoursePoint(PlanPart):
    """A dough at an instant: mean temperature, and volume over the volume after mixing."""

    at: AwareDatetime
    temp_c: float
    rise: float


class Course(PlanPart):
    """How a batch (until it is divided) or a lot (from then on) runs through the night."""

    of: str
    points: tuple[CoursePoint, ...]


class LateReason(PlanPart):
    """Why an order is late: on what it waits, when, behind what."""

    product: str
    late_s: float
    resource: str | None
    start: AwareDatetime | None = None
    end: AwareDatetime | None = None
    behind: tuple[str, ...] = ()
    sentence: str


class PlanChange(PlanPart):
    """What a plan made while the night runs changes of the plan before it.

    ``kind``: ``later`` or ``earlier`` (by ``by_s``), ``elsewhere`` (place or person), ``new``, ``gone``. ``why``: what
    it waits for or gives way to, as a sentence. ``person``: whose hands it takes; ``next``: that person's next work.
    """

    task: str
    kind: Literal["later", "earlier", "elsewhere", "new", "gone"]
    by_s: float = 0
    why: str
    person: str | None = None
    next: bool = False


class Taken(PlanPart):
    """What the plan of another night takes in the time of this one: ``amount`` of a resource, somebody's hands
    (``person``, of resource ``people``) or somebody's ``pause``; or how it has a deck standing: at ``set_temp_c``,
    switched on or over at ``start``, there at ``ready``."""

    night: dt.date
    resource: str
    amount: int
    start: AwareDatetime
    end: AwareDatetime
    person: str | None = None
    pause: bool = False
    set_temp_c: float | None = None
    ready: AwareDatetime | None = None


class ObjectiveLevel(PlanPart):
    """One level of what is better: what its terms came to, and the least that is proven possible.

    ``name``: what it is about (on-time, hours, freshness, lengths, oven). ``least``: what no plan at all can be under,
    term by term. All in ticks.
    """

    name: str = ""
    terms: dict[str, float]
    value: float
    bound: float
    proven: bool
    least: dict[str, float] = {}


class Plan(PlanPart):
    """The whole plan of a night.

    ``happened``: what was known when it was made while the night ran; ``changes``: against the plan before it.
    ``margin_s``: how long before it is due the planner wanted every order ready; what is late is counted from the true
    due time all the same, what is early from that much before it. ``odds``: how the plan fares in nights that could be.
    ``residual_s``: the largest difference between the window of a stage and the forecast for the hour it lies at.
    ``taken``: what other nights' plans take meanwhile, around which this one was fitted.
    """

    schema_name: str = PLAN_SCHEMA
    kitchen: str
    kitchen_name: str
    night: dt.date
    timezone: str
    made_at: AwareDatetime
    horizon_start: AwareDatetime
    horizon_end: AwareDatetime
    tick_s: int
    status: Literal["optimal", "feasible", "stopped", "empty", "infeasible", "unknown"]
    resources: tuple[PlanResource, ...] = ()
    people: tuple[PlanPerson, ...] = ()
    batches: tuple[PlanBatch, ...] = ()
    tasks: tuple[PlanTask, ...] = ()
    links: tuple[PlanLink, ...] = ()
    ovens: tuple[OvenStretch, ...] = ()
    orders: tuple[PlanOrder, ...] = ()
    courses: tuple[Course, ...] = ()
    objective: tuple[ObjectiveLevel, ...] = ()
    late: tuple[LateReason, ...] = ()
    notes: tuple[str, ...] = ()
    solve_s: float = 0
    margin_s: float = 0
    residual_s: float = 0
    odds: NightOdds | None = None
    happened: Annotated[Happened | None, BeforeValidator(_happened)] = None
    changes: tuple[PlanChange, ...] = ()
    taken: tuple[Taken, ...] = ()

    def zone(self) -> zoneinfo.ZoneInfo:
        """The kitchen's time zone."""
        return zoneinfo.ZoneInfo(self.timezone)

    def task(self, task_id: str) -> PlanTask:
        """The task of that id. Raises KeyError."""
        for task in self.tasks:
            if task.id == task_id:
                return task
        raise KeyError(task_id)
