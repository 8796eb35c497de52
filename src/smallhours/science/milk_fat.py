"""How hard butter is at a temperature, what that does in a dough, and how long a block takes to become pliable.

Hardness is told by the solid share of the fat, on the same curve that says how much heat melting takes
(``dough_temperature.Melting``): straight lines between the points of a table, at most 0.6 points of solids away from
a smooth curve through them, where the table itself is uncertain by five. How butter was chilled and worked changes its
hardness at the same solid share; that is not in here. An offset learned for each butter takes up feed and season.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, TypeVar

from smallhours.errors import Impossible, OutOfRange
from smallhours.science.conduction import fourier_number, left_fraction, mean_left_fraction, together_fraction
from smallhours.science.dough_temperature import Melting, Portion
from smallhours.science.ranges import checked, checked_all, checked_positive
from smallhours.science.warming import biot_number

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

FatState = Literal["brittle", "pliable", "smearing"]
InDough = Literal["lumps", "works in", "oils off"]
FillingState = Literal["tears", "spreads", "runs"]
LayersState = Literal["break", "hold", "smear"]
_Name = TypeVar("_Name", bound=str)
_COLDEST_C, _HOTTEST_C = -40.0, 120.0
_EARLIEST_FOURIER = 1e-5  # where the series of ``conduction`` begins


@dataclass(frozen=True)
class SolidWindow:
    """From which to which solid share of its fat butter does what is wanted [fraction, 0 to 1].

    Raises OutOfRange for shares outside 0 to 1 or a window without width.
    """

    low_fraction: float
    high_fraction: float

    def __post_init__(self) -> None:
        checked(self.low_fraction, "the least solid share", 0.0, 1.0, "of the fat")
        checked(self.high_fraction, "the most solid share", 0.0, 1.0, "of the fat")
        if self.low_fraction >= self.high_fraction:
            raise OutOfRange(
                "the least solid share must be below the most "
                f"(found {self.low_fraction:g} and {self.high_fraction:g} of the fat)"
            )


def offset_melting(melting: Melting, offset_k: float) -> Melting:
    """The curve of a butter that is as hard as the table's at a temperature so much lower [K]: harder if positive.

    Raises OutOfRange for an offset outside -10 to 10 K.

    Source: a shift along the temperature, to be learned from notes (pliable, too hard, too soft).
    """
    shift = checked(offset_k, "the offset of a butter", -10.0, 10.0, "K")
    return replace(melting, solid_at=tuple((temp + shift, share) for temp, share in melting.solid_at))


def solid_fractions(melting: Melting, temp_c: ArrayLike) -> Floats:
    """Which share of the fat is solid? [fraction; any shape, -40 to 120 °C]

    Raises OutOfRange.

    Source: straight lines between the points of the curve.
    """
    import numpy as np

    temps, shares = zip(*melting.solid_at, strict=True)
    at = checked_all(temp_c, "the temperature of the fat", _COLDEST_C, _HOTTEST_C, "°C")
    found: Floats = np.asarray(np.interp(at, temps, shares))
    return found


def temp_at_solid_c(melting: Melting, solid_fraction: float) -> float:
    """At which temperature has the fat this solid share? [°C]; the lowest, where the curve is level.

    Raises OutOfRange for a share that the curve does not reach.

    Source: straight lines between the points of the curve, read the other way.
    """
    shares = [share for _, share in melting.solid_at]
    wanted = checked(solid_fraction, "the solid share", shares[-1], shares[0], "of the fat on this butter's curve")
    points = melting.solid_at
    for (warm0, share0), (warm1, share1) in pairwise(points):
        if share0 == wanted:
            return warm0
        if share1 <= wanted < share0:
            return warm0 + (warm1 - warm0) * (share0 - wanted) / (share0 - share1)
    return points[-1][0]


def window_temps_c(melting: Melting, window: SolidWindow) -> tuple[float, float]:
    """From which to which temperature has butter the solid shares of a window? [°C, °C]

    Raises OutOfRange for shares that the curve does not reach.

    Source: ``temp_at_solid_c``.
    """
    return temp_at_solid_c(melting, window.high_fraction), temp_at_solid_c(melting, window.low_fraction)


def fat_state(melting: Melting, temp_c: float, pliable: SolidWindow) -> FatState:
    """Is butter at this temperature brittle, pliable or smearing? -40 to 120 °C.

    Raises OutOfRange.

    Source: solid share of the fat against the window of pliable butter (15 to 25 % for roll-in, McGee 2004).
    """
    return _placed(float(solid_fractions(melting, temp_c)), pliable, ("brittle", "pliable", "smearing"))


def possible_states(
    melting: Melting, temp_c: float, pliable: SolidWindow, uncertain_fraction: float = 0.05
) -> tuple[FatState, ...]:
    """What butter may be at this temperature, when its solid share is uncertain by so much [fraction of the fat].

    One state if it is sure, else two or three from brittle to smearing.

    Raises OutOfRange.

    Source: ``fat_state`` over the range of solid shares.
    """
    half = checked(uncertain_fraction, "the uncertainty of the solid share", 0.0, 0.5, "of the fat")
    share = float(solid_fractions(melting, temp_c))
    names: tuple[FatState, FatState, FatState] = ("brittle", "pliable", "smearing")
    first, last = (names.index(_placed(share + sign * half, pliable, names)) for sign in (1.0, -1.0))
    return names[first : last + 1]


def in_dough(melting: Melting, butter_c: float, dough_c: float, spreadable: SolidWindow) -> InDough:
    """What becomes of butter that is mixed into a dough: does it lump, work in, or oil off?

    It lumps if it is too hard to be spread when it goes in, and oils off if it is too soft at the dough's temperature.

    Raises OutOfRange.

    Source: solid share of the fat against the window of spreadable butter, at the butter's own temperature for the hard
    end and at the dough's for the soft end (which end counts when is a judgement).
    """
    if float(solid_fractions(melting, butter_c)) > spreadable.high_fraction:
        return "lumps"
    return "oils off" if float(solid_fractions(melting, dough_c)) < spreadable.low_fraction else "works in"


def filling_state(melting: Melting, filling_c: float, spreadable: SolidWindow) -> FillingState:
    """Does a filling bound by butter tear the dough, spread, or run? -40 to 120 °C.

    Raises OutOfRange.

    Source: solid share of the fat against the window of spreadable butter; sugar and nuts in it are left out.
    """
    return _placed(float(solid_fractions(melting, filling_c)), spreadable, ("tears", "spreads", "runs"))


def layers_state(melting: Melting, butter_c: float, pliable: SolidWindow) -> LayersState:
    """Do the layers of a laminated dough break, hold or smear when it is rolled at this temperature? -40 to 120 °C.

    Raises OutOfRange.

    Source: as ``fat_state``: brittle butter breaks into plates, soft butter is pressed into the dough.
    """
    return _placed(float(solid_fractions(melting, butter_c)), pliable, ("break", "hold", "smear"))


def heat_j_per_g(melting: Melting, specific_heat_j_per_g_k: float, from_c: float, to_c: float) -> float:
    """How much heat warms a gram of butter from one temperature to the other, melting counted in? [J/g]

    Negative where it gives heat away; -40 to 120 °C.

    Raises OutOfRange.

    Source: ``dough_temperature.Portion.heat_to_j``, the same balance that mixing uses.
    """
    checked(to_c, "the temperature of the fat", _COLDEST_C, _HOTTEST_C, "°C")
    return Portion(1.0, specific_heat_j_per_g_k, from_c, melting).heat_to_j(to_c)


@dataclass(frozen=True)
class Block:
    """A block of butter and what it is made of; its smallest side matters most.

    ``bottom_open``: on a rack, air reaches its underside; on a bench or in a box it counts as insulated.
    ``density_kg_per_m3``, ``conductivity_w_per_m_k``, ``specific_heat_j_per_g_k``: of butter, without melting.

    Raises OutOfRange for a side or property that is not positive.
    """

    length_mm: float
    width_mm: float
    height_mm: float
    density_kg_per_m3: float
    conductivity_w_per_m_k: float
    specific_heat_j_per_g_k: float
    bottom_open: bool = False

    def __post_init__(self) -> None:
        for name, unit in (("length_mm", "mm"), ("width_mm", "mm"), ("height_mm", "mm")):
            checked_positive(getattr(self, name), f"the {name.removesuffix('_mm')} of a block", unit)
        checked_positive(self.density_kg_per_m3, "the density", "kg/m³")
        checked_positive(self.conductivity_w_per_m_k, "the conductivity", "W/(m K)")
        checked_positive(self.specific_heat_j_per_g_k, "the specific heat", "J/(g K)")

    @property
    def half_sizes_mm(self) -> tuple[float, float, float]:
        """Length, width and height from the plane that no heat crosses to the face."""
        return self.length_mm / 2.0, self.width_mm / 2.0, self.height_mm / (2.0 if self.bottom_open else 1.0)

    @property
    def mass_g(self) -> float:
        """Its mass."""
        return self.length_mm * self.width_mm * self.height_mm * self.density_kg_per_m3 / 1e6


@dataclass(frozen=True)
class BlockTemps:
    """Temperatures of a block: in its middle (at the foot of it on a bench), on average, in the middle of its top."""

    middle_c: float
    mean_c: float
    top_c: float


def block_temps_c(
    block: Block,
    start_c: float,
    room_c: float,
    heat_transfer_w_per_m2_k: float,
    time_s: float,
    melting: Melting | None = None,
) -> BlockTemps:
    """How warm is a block that has stood in a room for this long? [°C]

    ``time_s``: from a second on. With ``melting`` its heat is spread evenly from start to room, which makes the middle
    a little too slow at first and a little too fast in the end.

    Raises OutOfRange.

    Source: exact series of a brick, the product of three slabs (``conduction``).
    """
    left = _Left(block, start_c, room_c, heat_transfer_w_per_m2_k, _capacity(block, melting, start_c, room_c))
    temps = [room_c + (start_c - room_c) * share(time_s) for share in (left.middle, left.mean, left.top)]
    return BlockTemps(*temps)


@dataclass(frozen=True)
class Softening:
    """When a block is pliable to its middle [s], and how warm its top is by then [°C]."""

    pliable_s: float
    top_c: float
    top_state: FatState


def softening(
    block: Block,
    melting: Melting,
    pliable: SolidWindow,
    start_c: float,
    room_c: float,
    heat_transfer_w_per_m2_k: float,
) -> Softening:
    """How long from the fridge until a block of butter is pliable to its middle, and what is its top by then?

    In seconds. Counts the heat of melting up to the point where it is pliable, which nearly doubles the time; spread
    evenly, it is within 2 % of melting layer by layer. Expect ±20 % from the heat transfer alone.

    Raises OutOfRange, Impossible if the room is too cold for it.

    Source: exact series of a brick (``conduction``), specific heat raised by the melting between start and pliable.
    """
    from scipy.optimize import brentq

    firm_c, soft_c = window_temps_c(melting, pliable)
    if start_c >= firm_c:
        state = fat_state(melting, start_c, pliable)
        return Softening(0.0, start_c, state)
    if room_c <= firm_c + 0.1:
        raise Impossible(
            f"butter does not become pliable in a room of {room_c:g} °C: it needs more than {firm_c:.1f} °C; put it "
            "in a warmer place, or beat it pliable with a rolling pin"
        )
    left = _Left(block, start_c, room_c, heat_transfer_w_per_m2_k, _capacity(block, melting, start_c, firm_c))
    wanted = (room_c - firm_c) / (room_c - start_c)
    last = 3600.0
    while left.middle(last) > wanted:
        last *= 2.0
    pliable_s = float(brentq(lambda time: left.middle(time) - wanted, 1.0, last, xtol=0.5))
    top_c = room_c + (start_c - room_c) * left.top(pliable_s)
    return Softening(pliable_s, top_c, "smearing" if top_c > soft_c else "pliable")


class _Left:
    """What is left of the step from start to room in a block, by time."""

    def __init__(
        self, block: Block, start_c: float, room_c: float, heat_transfer_w_per_m2_k: float, capacity_j_per_g_k: float
    ) -> None:
        for temp in (start_c, room_c):
            checked(temp, "the temperature of butter or room", _COLDEST_C, _HOTTEST_C, "°C")
        self._sizes = block.half_sizes_mm
        conductivity = block.conductivity_w_per_m_k
        self._diffusivity = conductivity / (block.density_kg_per_m3 * 1000.0 * capacity_j_per_g_k)
        self._biots = [biot_number(size, conductivity, heat_transfer_w_per_m2_k) for size in self._sizes]

    def middle(self, time_s: float) -> float:
        return self._product(time_s, (0.0, 0.0, 0.0))

    def mean(self, time_s: float) -> float:
        return self._product(time_s, (None, None, None))

    def top(self, time_s: float) -> float:
        return self._product(time_s, (0.0, 0.0, 1.0))

    def _product(self, time_s: float, places_fraction: tuple[float | None, float | None, float | None]) -> float:
        """Of the three slabs; each at a position or, with None, on average."""
        checked(time_s, "the time", 1.0, 1e9, "s")
        parts = []
        for biot, size, place in zip(self._biots, self._sizes, places_fraction, strict=True):
            fourier = float(fourier_number(time_s, size, self._diffusivity))
            if fourier < _EARLIEST_FOURIER and place != 1.0:
                continue  # so wide that its far faces are not felt yet
            fourier = max(fourier, _EARLIEST_FOURIER)
            if place is None:
                parts.append(mean_left_fraction("slab", biot, fourier))
            else:
                parts.append(left_fraction("slab", biot, fourier, place))
        return float(together_fraction(*parts)) if parts else 1.0


def _capacity(block: Block, melting: Melting | None, from_c: float, to_c: float) -> float:
    """Specific heat between two temperatures, melting spread evenly [J/(g K)]."""
    if melting is None or from_c == to_c:
        return block.specific_heat_j_per_g_k
    return heat_j_per_g(melting, block.specific_heat_j_per_g_k, from_c, to_c) / (to_c - from_c)


def _placed(share: float, window: SolidWindow, names: tuple[_Name, _Name, _Name]) -> _Name:
    """The first name above the window, the second in it, the third below."""
    if share > window.high_fraction:
        return names[0]
    return names[1] if share >= window.low_fraction else names[2]
