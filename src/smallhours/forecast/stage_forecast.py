"""What is forecast of one stage: what it begins and ends with, how long it takes, what that rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from smallhours.bakery.formula.document import Place, StageKind
from smallhours.forecast.estimate import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MomentName = Literal["cut", "pack", "glaze from", "glaze until"]
Basis = Literal["own reference", "own reference, moved", "own numbers"]


@dataclass(frozen=True)
class Warmth:
    """Temperatures of a dough, °C: in its core, on average, at its skin."""

    core: Estimate
    mean: Estimate
    skin: Estimate


@dataclass(frozen=True)
class Mover:
    """An input and what a little more of it does to a result, in seconds."""

    input: str
    words: str
    change_s: float

    @property
    def sentence(self) -> str:
        """As a baker says it."""
        minutes = abs(self.change_s) / 60
        if minutes < 0.5:
            return "no input moves it by half a minute"
        return f"{self.words} makes it {minutes:.0f} min {'longer' if self.change_s > 0 else 'shorter'}"


@dataclass(frozen=True)
class Moment:
    """When bread is as cool as something needs: seconds after it began to cool, and how cool that is.

    ``reached``: share of the members that get there within twelve hours.
    """

    name: MomentName
    after: Estimate
    temp: Estimate
    reached: float


@dataclass(frozen=True)
class StageForecast:
    """One stage of a formula in a kitchen.

    ``start_s``, ``end_s``: in seconds from the start of the dough's mixing (before it: below 0), if every stage is kept
    for its ``length`` as it is most likely; ``reference_s``: the formula's own length. ``length``, ``earliest``,
    ``latest``: seconds from the stage's start until it is as the formula wants it, as it may first and must last be
    taken. ``rise``: volume over volume after mixing, at the end; ``ripeness``: gas made over the gas of the reference
    (1: just as the formula wants it), ``ripeness_cold`` as it comes out of the cold; ``most_ripeness``: the most it
    stands; ``over_share``, ``over_cold_share``: share of the members beyond. ``loss_percent``: of the mass that enters.
    ``crust``: of a bake, how many times as much its crust browns as in the formula's own.
    ``moments``: of cooling, when it can be cut, packed and glazed.
    ``reached``: share of the members that get there within the time that is looked at. ``moved_by``: which input moves
    its length most; ``least_known``: what is least known of it, in words. ``draws``: every member's own values, by the
    names of the fields, for whoever reckons on.
    """

    part: str
    key: str
    name: str
    kind: StageKind
    place: Place
    start_s: float
    end_s: float
    reference_s: float
    air_c: float | None
    at_start: Warmth
    at_end: Warmth
    rise: Estimate
    length: Estimate
    earliest: Estimate
    latest: Estimate
    basis: Basis
    rests_on: str
    ripeness: Estimate | None = None
    ripeness_cold: Estimate | None = None
    most_ripeness: float | None = None
    over_share: float | None = None
    over_cold_share: float | None = None
    loss_percent: Estimate | None = None
    crust: Estimate | None = None
    moments: tuple[Moment, ...] = ()
    reached: float = 1.0
    moved_by: Mover | None = None
    least_known: str | None = None
    logged_bakes: int = 0
    draws: Mapping[str, Floats] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True)
class CurvePoint:
    """A dough at a time (s from the start of its mixing): mean temperature (°C) and rise, each with its interval."""

    t_s: float
    temp_c: Estimate
    rise: Estimate
