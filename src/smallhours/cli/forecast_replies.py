"""What ``forecast`` and ``ask`` answer with ``--json``."""

from __future__ import annotations

import datetime as dt

from smallhours.cli.reply import Reply
from smallhours.forecast.estimate import Estimate


class EstimateReply(Reply):
    """A median and the interval in which the truth should lie four times in five."""

    median: float
    low: float
    high: float

    @classmethod
    def of(cls, value: Estimate) -> EstimateReply:
        """The estimate as data."""
        return cls(median=value.median, low=value.low, high=value.high)


class WarmthReply(Reply):
    """Temperatures of a dough, °C."""

    core_c: EstimateReply
    mean_c: EstimateReply
    skin_c: EstimateReply


class MomentReply(Reply):
    """When bread can be cut, packed or glazed: seconds after it began to cool, and how warm it then is at most.

    ``reached``: how likely that is within twelve hours.
    """

    name: str
    after_s: EstimateReply
    temp_c: EstimateReply
    reached: float


class StageReply(Reply):
    """One stage of a forecast; all times in seconds.

    ``start_s``, ``end_s``: from the start of the dough's mixing. ``length_s``, ``earliest_s``, ``latest_s``: from the
    stage's start. ``ripeness``: gas made over the gas the formula wants; ``over_share``: how likely it is over-proofed;
    ``crust``: how many times as much it browns as in the formula's own bake; ``moments``: of cooling.
    ``reached``: how likely it gets there at all. ``basis``: ``own reference``, ``own reference, moved`` or
    ``own numbers``; ``moved_by``, ``least_known``: which input moves its length most, what is least known of it.
    """

    part: str
    stage: str
    name: str
    place: str
    air_c: float | None
    start_s: float
    end_s: float
    reference_s: float
    length_s: EstimateReply
    earliest_s: EstimateReply
    latest_s: EstimateReply
    at_start: WarmthReply
    at_end: WarmthReply
    rise: EstimateReply
    ripeness: EstimateReply | None
    over_share: float | None
    loss_percent: EstimateReply | None
    crust: EstimateReply | None
    moments: tuple[MomentReply, ...]
    reached: float
    basis: str
    rests_on: str
    logged_bakes: int
    moved_by: str | None
    least_known: str | None


class CurvePointReply(Reply):
    """A dough at a time (seconds from the start of its mixing): mean temperature and rise."""

    t_s: float
    temp_c: EstimateReply
    rise: EstimateReply


class ForecastReply(Reply):
    """Answer of ``forecast``: every stage, when it is ready, and the curves of its temperature and rise.

    ``to_oven_s``, ``ready_s``: seconds from the start of the mixing; ``start``: when that is, if it was said.
    ``cautions``: what stands out of the cold so long that bacteria must be thought of; none is no clearance.
    """

    schema_name: str = "smallhours.forecast/1"
    formula: str
    start: dt.datetime | None
    members: int
    seed: int
    to_oven_s: EstimateReply | None
    ready_s: EstimateReply
    moved_by: str | None
    least_known: str | None
    stages: tuple[StageReply, ...]
    curve: tuple[CurvePointReply, ...]
    cautions: tuple[str, ...] = ()
    picture: str | None = None


class NumberReply(Reply):
    """One number of an answer."""

    name: str
    unit: str
    value: EstimateReply


class AskReply(Reply):
    """Answer of ``ask``: a sentence, its numbers, what it rests on; ``look``: it needs a baker's attention."""

    schema_name: str = "smallhours.ask/1"
    question: str
    formula: str
    sentence: str
    numbers: tuple[NumberReply, ...]
    rests_on: str
    look: bool
