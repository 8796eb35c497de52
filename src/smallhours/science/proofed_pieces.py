"""How large rounds, slices and logs are after proof, and how they then stand on their tray or fill their pan."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from smallhours.errors import OutOfRange
from smallhours.science.pans import Arrangement, arranged
from smallhours.science.ranges import checked, checked_not_negative, checked_positive
from smallhours.science.shapes import ball_diameter_mm

_GROWTH = (0.1, 20.0, "times")


@dataclass(frozen=True)
class PieceSize:
    """A round piece seen from above and from the side [mm]."""

    diameter_mm: float
    height_mm: float


def slice_mass_g(dough_g: float, filling_g: float, log_length_mm: float, slice_mm: float) -> float:
    """What does a slice of a filled roll weigh? [g]

    ``dough_g``, ``filling_g``: of the whole log; ``slice_mm``: its width. The ends of a log hold less filling.

    Raises OutOfRange for lengths or dough that are not positive, negative filling or a slice longer than the log.

    Source: mass is spread evenly along the log.

    >>> slice_mass_g(2000.0, 500.0, 600.0, 30.0)
    125.0
    """
    length = checked_positive(log_length_mm, "the length of the log", "mm")
    width = checked(slice_mm, "the width of a slice", 1e-3, length, "mm, no longer than the log")
    mass = checked_positive(dough_g, "the mass of dough", "g") + checked_not_negative(filling_g, "the filling", "g")
    return mass * width / length


def risen_size(diameter_mm: float, height_mm: float, volume_ratio: float, spread_ratio: float = 1.0) -> PieceSize:
    """How wide and high is a round or a slice when it has grown to so many times its volume? [mm]

    ``spread_ratio``: growth in width over growth in height: 1 alike, more for soft dough that flattens, less for a
    slice held by its neighbours. Learn it for each product: it is not known beforehand.

    Raises OutOfRange for sizes that are not positive, growth outside 0.1 to 20 or a spread outside 0.2 to 5.

    Source: volume goes with diameter² x height.

    >>> risen_size(46.4, 46.4, 2.5).diameter_mm  # doctest: +ELLIPSIS
    62.97...
    """
    growth = checked(volume_ratio, "the growth in volume", *_GROWTH)
    spread = checked(spread_ratio, "the spread", 0.2, 5.0, "times the growth in height")
    higher = math.cbrt(growth / (spread * spread))
    return PieceSize(
        checked_positive(diameter_mm, "the diameter of a piece", "mm") * higher * spread,
        checked_positive(height_mm, "the height of a piece", "mm") * higher,
    )


def spread_ratio(before: PieceSize, after: PieceSize) -> float:
    """How much more did a piece grow in width than in height? [ratio], from measured sizes.

    Raises OutOfRange for sizes that are not positive.

    Source: definition; the other way round of ``risen_size``.
    """
    sizes = (before.diameter_mm, before.height_mm, after.diameter_mm, after.height_mm)
    wide0, high0, wide1, high1 = (checked_positive(size, "the size of a piece", "mm") for size in sizes)
    return wide1 / wide0 / (high1 / high0)


def risen_log_diameter_mm(diameter_mm: float, volume_ratio: float, lengthening_ratio: float = 1.0) -> float:
    """How thick is a log or a stick when it has grown to so many times its volume? [mm]

    ``lengthening_ratio``: its length after over before: 1 in a tin or a couche, up to the cube root of the growth free.

    Raises OutOfRange for a diameter that is not positive, growth outside 0.1 to 20 or lengthening outside 0.5 to 3.

    Source: volume goes with diameter² x length.

    >>> round(risen_log_diameter_mm(60.0, 2.25), 1)
    90.0
    """
    growth = checked(volume_ratio, "the growth in volume", *_GROWTH)
    longer = checked(lengthening_ratio, "the lengthening", 0.5, 3.0, "times")
    return checked_positive(diameter_mm, "the diameter of a log", "mm") * math.sqrt(growth / longer)


def touching_fraction(pitch_mm: float, final_diameter_mm: float, neighbours: Literal[4, 6] = 4) -> float:
    """How much of its side does a piece in the middle of a tray press against its neighbours? [fraction of the side]

    ``pitch_mm``: from middle to middle; ``neighbours``: 4 in square rows, 6 in staggered ones. 0: they stand free; 1:
    they fill the tray without a gap.

    Raises OutOfRange for sizes that are not positive or another number of neighbours.

    Source: circles of the final diameter cut off half way to each neighbour: 2 arccos(pitch / diameter) each.
    """
    pitch = checked_positive(pitch_mm, "the distance of the pieces", "mm")
    ratio = pitch / checked_positive(final_diameter_mm, "the final diameter", "mm")
    around = _neighbours(neighbours)
    return 0.0 if ratio >= 1.0 else min(1.0, around * math.acos(ratio) / math.pi)


def pitch_for_touching_mm(final_diameter_mm: float, touching_fraction: float, neighbours: Literal[4, 6] = 4) -> float:
    """How far apart must pieces stand, middle to middle, to touch along this much of their side in the end? [mm]

    Raises OutOfRange for a diameter that is not positive, a share outside 0 to 1 or another number of neighbours.

    Source: ``touching_fraction``, solved for the distance.

    >>> round(pitch_for_touching_mm(100.0, 0.82), 1)
    80.0
    """
    share = checked(touching_fraction, "the share that touches", 0.0, 1.0, "of the side")
    diameter = checked_positive(final_diameter_mm, "the final diameter", "mm")
    return diameter * math.cos(share * math.pi / _neighbours(neighbours))


@dataclass(frozen=True)
class TrayFit:
    """How pieces stand on a tray: their size in the end, how far apart they go on, and in what rows."""

    final: PieceSize
    pitch_mm: float
    arrangement: Arrangement


def tray_fit(
    length_mm: float,
    width_mm: float,
    piece_g: float,
    density_g_per_cm3: float,
    volume_ratio: float,
    spread_ratio: float = 1.0,
    touching_fraction: float = 0.0,
) -> TrayFit:
    """How many rounds of this mass fit a tray, standing free in the end (0) or touching along so much of the side?

    All sizes [mm]. ``length_mm``, ``width_mm``: inside of the tray; ``density_g_per_cm3``: of the dough as shaped;
    ``volume_ratio``: growth until the end of the bake. A rim piece may hang over by as much as it may be pressed.

    Raises OutOfRange as the functions below it, or if not one fits.

    Source: ball of that mass, ``risen_size``, ``pitch_for_touching_mm``, ``pans.arranged``; touching as in square rows.
    """
    ball = ball_diameter_mm(piece_g, density_g_per_cm3)
    final = risen_size(ball, ball, volume_ratio, spread_ratio)
    pitch = pitch_for_touching_mm(final.diameter_mm, touching_fraction)
    return TrayFit(final, pitch, arranged(length_mm, width_mm, pitch))


def pan_dough_g(volume_ml: float, density_g_per_cm3: float, volume_ratio: float, filled_fraction: float = 1.0) -> float:
    """How much dough fills this share of a pan when it has risen to so many times its volume? [g]

    The way round of a tin factor: factor = growth / (density x filled).

    Raises OutOfRange for a volume that is not positive, a density outside 0.05 to 2 g/cm³, growth outside 0.1 to 20 or
    a share outside 0.05 to 1.5 (a crown above the rim).

    Source: volume = mass / density x growth.

    >>> round(pan_dough_g(2360.0, 1.15, 3.52))
    771
    """
    growth = checked(volume_ratio, "the growth in volume", *_GROWTH)
    density = checked(density_g_per_cm3, "the density", 0.05, 2.0, "g/cm³")
    filled = checked(filled_fraction, "how full the pan shall be", 0.05, 1.5, "of its volume")
    return checked_positive(volume_ml, "the volume of a pan", "ml") * filled * density / growth


def _neighbours(neighbours: int) -> int:
    if neighbours not in (4, 6):
        raise OutOfRange(f"a piece has 4 neighbours in square rows or 6 in staggered ones (found {neighbours})")
    return neighbours
