"""What is answered when a night is asked about otherwise: measures side by side, cures, headroom, whether it fits."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from pydantic import AwareDatetime, BaseModel, ConfigDict, PlainSerializer, WithJsonSchema

from smallhours.bakery.shift.variation import Variation

SaidVariation = Annotated[
    Variation,
    PlainSerializer(lambda variation: variation.model_dump(mode="json", exclude_defaults=True), return_type=dict),
    WithJsonSchema(
        {"type": "object", "description": "a document: variation, in its JSON form, without what is not said"}
    ),
]
"""A variation that is written as the document it is."""


class Answer(BaseModel):
    """Base of the pieces of an answer: frozen, nothing unknown inside."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class OrderThen(Answer):
    """An order in one of the nights compared; ``late_s`` None: there is no plan."""

    customer: str
    product: str
    pieces: int
    due: AwareDatetime
    ready: AwareDatetime | None
    late_s: float | None


class Measures(Answer):
    """What a night comes to.

    ``fits``: whether a plan keeps every rule (``note`` says why not, where that is known); ``late_s``: of all orders
    together, ``proven`` where no plan can be less late; ``people_s``: from when to when people are needed; ``hands_s``:
    hands-on; ``first_start``: of the first work; ``waits_s``: mean time from ready to due; ``oven_s``: decks on.
    """

    name: str
    fits: bool
    note: str = ""
    late_orders: int = 0
    late_s: float = 0
    proven: bool = False
    people_s: float = 0
    hands_s: float = 0
    first_start: AwareDatetime | None = None
    waits_s: float = 0
    oven_s: float = 0
    orders: tuple[OrderThen, ...] = ()


class Cost(Answer):
    """What a plan costs more than the one before it (below 0: less)."""

    people_s: float = 0
    hands_s: float = 0
    oven_s: float = 0
    waits_s: float = 0


class Cure(Answer):
    """A change with which something that was late is on time, found by planning the night with it.

    ``cured``: the orders that are on time with it; ``all_on_time``: nothing is late any more; ``late_s``: what stays
    late. ``trouble``: how much it asks, by our own judgement, for the order in which cures are told.
    """

    sentence: str
    variation: SaidVariation
    cured: tuple[str, ...]
    all_on_time: bool
    late_s: float
    costs: Cost
    trouble: float


class Cures(Answer):
    """The cures of a night. ``late``: what is late without them; ``fits``: whether there is a plan at all without them.

    ``proven``: without a change, no plan is less late. ``tried``: so many changes were planned; ``stopped``: time ran
    out or it was stopped before all were.
    """

    night: dt.date
    timezone: str
    fits: bool
    late: tuple[str, ...]
    late_s: float
    proven: bool
    cures: tuple[Cure, ...]
    tried: int
    stopped: bool = False


class Load(Answer):
    """How full something is in its busiest stretch of ``hour_s``; ``used`` of ``available`` in its unit times hours."""

    resource: str
    name: str
    start: AwareDatetime
    end: AwareDatetime
    used_fraction: float


class More(Answer):
    """How many more pieces of a product would be ready in time with all the rest: ``pieces`` were planned to be;
    ``too_many``: the fewest for which no plan was found (None: so many were not tried); ``proven``: no plan exists for
    those. ``due``: for when."""

    product: str
    due: AwareDatetime
    pieces: int
    too_many: int | None
    proven: bool = False


class Brings(Answer):
    """By how much a night could grow (all orders alike, percent) as it is or with one thing more.

    ``grows_percent`` were planned; ``not_percent``: found no plan (None: not tried).
    """

    sentence: str
    variation: SaidVariation
    grows_percent: float
    not_percent: float | None


class Headroom(Answer):
    """What a night that is on time has left.

    ``earlier_s``: by so much earlier everything could be ready; ``holds_up``: what stops it from being earlier still,
    the most common first.
    """

    night: dt.date
    timezone: str
    earlier_s: float
    not_earlier_s: float | None
    holds_up: tuple[str, ...]
    loads: tuple[Load, ...]
    more: tuple[More, ...]
    grows: tuple[Brings, ...]
    stopped: bool = False


class Fit(Answer):
    """Whether an extra order fits into a night.

    ``fits``: it is on time and nothing else is later than without it; ``ready``: when it would be ready; ``late_s``:
    how late it is itself; ``late_elsewhere``: others that are later with it. ``proven``: where it does not fit, that no
    plan exists in which it does. ``cut_off``: asked for until then it could still be met, everything begun by then
    going on as planned; ``not_at``: asked for then, no plan was found; ``rests_on``: what these two rest on.
    """

    product: str
    pieces: int
    due: AwareDatetime
    timezone: str
    fits: bool
    ready: AwareDatetime | None
    late_s: float | None
    late_elsewhere: tuple[str, ...]
    proven: bool
    costs: Cost
    cut_off: AwareDatetime | None = None
    not_at: AwareDatetime | None = None
    rests_on: str = ""
