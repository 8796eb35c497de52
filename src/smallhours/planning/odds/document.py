"""What a few hundred nights say of one plan: chances, and where it hurts.

All shares are of the nights that were run, from 0 to 1. It knows nothing of how the nights were run, so that a plan
can carry it.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict


class OddsPart(BaseModel):
    """Base of the pieces: frozen, nothing unknown inside."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class OrderOdds(OddsPart):
    """One order: its chance to be on time, and how late it is.

    ``on_time``: when every dough is taken as soon as its formula allows; ``on_time_as_wanted``: when every dough gets
    the length that the plan means. ``late_s`` is the mean over all nights, ``late_p90_s`` what nine nights of ten stay
    within. ``waits_on``: what most often made it late (a resource, a person or a batch).
    """

    customer: str
    product: str
    pieces: int
    on_time: float
    on_time_as_wanted: float
    late_s: float
    late_p90_s: float
    waits_on: str | None = None


class Hurt(OddsPart):
    """Where it hurts: in which share of nights waiting for this made an order late, and how long that wait was then.

    ``kind``: something of the kitchen, a person, or a dough that was slow to get ready.
    """

    id: str
    name: str
    kind: Literal["resource", "person", "dough"]
    share: float
    wait_s: float


class DoughOdds(OddsPart):
    """A batch that stands beyond its latest in some nights: in which share, for how long then, mostly at which task."""

    batch: str
    name: str
    over: float
    over_s: float
    task: str


class Overtime(OddsPart):
    """A person who stays beyond the hours in some nights: in which share, and how long then."""

    person: str
    name: str
    share: float
    over_s: float


class Assumed(OddsPart):
    """What the nights were drawn from. All of it judgement, stated so that it can be replaced; see ``Spread``."""

    scale: float
    night_share: float
    dough_share: float
    hands_slow: float
    hands_log_sd: float
    person_share: float


class NightOdds(OddsPart):
    """How a plan fares in ``nights`` nights drawn with ``seed``.

    ``all_on_time``: the share of nights in which no order is late by more than ``grace_s``; ``all_on_time_error``: its
    standard error from drawing only so many nights; ``weakest``: the place of the least certain order in ``orders``.
    """

    nights: int
    seed: int
    grace_s: float
    all_on_time: float
    all_on_time_error: float
    all_on_time_as_wanted: float
    orders: tuple[OrderOdds, ...] = ()
    weakest: int | None = None
    hurts: tuple[Hurt, ...] = ()
    doughs: tuple[DoughOdds, ...] = ()
    overtime: tuple[Overtime, ...] = ()
    assumed: Assumed


class MarginOdds(OddsPart):
    """What a margin before every due time brings and costs, from a plan made with it.

    ``all_on_time``: the share of nights in which no order is late; ``order_on_time``: an order's mean chance;
    ``late_orders``: orders that are late in the plan itself. ``hands_s``: hands-on work of all people; ``present_s``:
    from everybody's first work to the last, summed; ``waits_s``: how long before it is due an order is ready, mean
    over orders.
    """

    margin_s: float
    all_on_time: float
    order_on_time: float
    late_orders: int
    hands_s: float
    present_s: float
    waits_s: float
