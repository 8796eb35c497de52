"""Sheets, rolls, slices, layers and growing pieces: what follows from mass, density and area."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from smallhours.errors import OutOfRange
from smallhours.science.ranges import checked, checked_not_negative, checked_positive

_MOST_LAYERS = 1_000_000


def sheet_thickness_mm(mass_g: float, density_g_per_cm3: float, length_mm: float, width_mm: float) -> float:
    """How thick is a sheet of this much dough rolled out to this size? [mm]

    Degassed dough has 1.10 to 1.20 g/cm³ (common practice).

    Raises OutOfRange for a size or mass that is not positive or a density outside 0.05 to 2 g/cm³.

    Source: mass = density x area x thickness.

    >>> round(sheet_thickness_mm(3000.0, 1.15, 600.0, 400.0), 2)
    10.87
    """
    density = checked(density_g_per_cm3, "the density", 0.05, 2.0, "g/cm³")
    return checked_positive(mass_g, "the mass", "g") / density * 1000.0 / _area_mm2(length_mm, width_mm)


def sheet_density_g_per_cm3(mass_g: float, length_mm: float, width_mm: float, thickness_mm: float) -> float:
    """What density does a sheet of this mass, size and thickness stand for? [g/cm³]

    No dough is denser than about 1.28 g/cm³: then mass, size or thickness is wrong.

    Raises OutOfRange for a size or mass that is not positive.

    Source: mass = density x area x thickness.
    """
    thick = checked_positive(thickness_mm, "the thickness", "mm")
    return checked_positive(mass_g, "the mass", "g") * 1000.0 / (_area_mm2(length_mm, width_mm) * thick)


def sheet_mass_g(density_g_per_cm3: float, length_mm: float, width_mm: float, thickness_mm: float) -> float:
    """How much dough does a sheet of this size and thickness hold? [g]

    Raises OutOfRange for a size that is not positive or a density outside 0.05 to 2 g/cm³.

    Source: mass = density x area x thickness.
    """
    density = checked(density_g_per_cm3, "the density", 0.05, 2.0, "g/cm³")
    return density * _area_mm2(length_mm, width_mm) * checked_positive(thickness_mm, "the thickness", "mm") / 1000.0


def rolled_diameter_mm(
    rolled_length_mm: float, dough_mm: float, filling_mm: float = 0.0, core_diameter_mm: float = 0.0
) -> float:
    """How thick is the log when a sheet of this length is rolled up along it? [mm]

    ``dough_mm``, ``filling_mm``: thickness of dough and filling. Expect ±3 % from stretching and the lip at the end.

    Raises OutOfRange for lengths that are not positive or negative filling.

    Source: the area of the end face is the area of the sheet's edge: D = sqrt(4 L t / pi + d0²).

    >>> round(rolled_diameter_mm(400.0, 5.0, 2.0), 1)
    59.7
    """
    length = checked_positive(rolled_length_mm, "the rolled length", "mm")
    core = checked_not_negative(core_diameter_mm, "the diameter of the core", "mm")
    return math.sqrt(4.0 * length * _pitch_mm(dough_mm, filling_mm) / math.pi + core * core)


def rolled_turns_count(
    rolled_length_mm: float, dough_mm: float, filling_mm: float = 0.0, core_diameter_mm: float = 0.0
) -> float:
    """How many turns does the spiral make? [number of turns]

    Raises OutOfRange as ``rolled_diameter_mm``.

    Source: each turn adds one thickness of dough and filling to the radius.
    """
    diameter = rolled_diameter_mm(rolled_length_mm, dough_mm, filling_mm, core_diameter_mm)
    return (diameter - core_diameter_mm) / 2.0 / _pitch_mm(dough_mm, filling_mm)


def spiral_length_mm(pitch_mm: float, turns_count: float, core_radius_mm: float = 0.0) -> float:
    """How long is the line of a spiral of this pitch with so many turns? [mm]

    Raises OutOfRange for a pitch or number of turns that is not positive or a negative core.

    Source: arc length of the Archimedean spiral r = b phi, exact.

    >>> round(spiral_length_mm(8.0, 4.0), 6)
    404.936138
    """
    b = checked_positive(pitch_mm, "the pitch of the spiral", "mm") / (2.0 * math.pi)
    begin = checked_not_negative(core_radius_mm, "the radius of the core", "mm") / b
    end = begin + 2.0 * math.pi * checked_positive(turns_count, "the number of turns", "turns")
    return b / 2.0 * sum(s * (a * math.sqrt(1.0 + a * a) + math.asinh(a)) for s, a in ((1.0, end), (-1.0, begin)))


def slices_count(log_length_mm: float, slice_mm: float) -> int:
    """How many whole slices does a log of this length give? [count]

    A shortfall of less than a thousandth of a slice is taken for rounding.

    Raises OutOfRange for lengths that are not positive.

    Source: division.

    >>> slices_count(16 * 25.4, 2 * 25.4)
    8
    """
    length = checked_positive(log_length_mm, "the length of the log", "mm")
    return math.floor(length / checked_positive(slice_mm, "the width of a slice", "mm") + 1e-3)


@dataclass(frozen=True)
class Layers:
    """Layers of a laminated dough: of fat, of dough (touching dough layers count once), and both."""

    fat: int
    dough: int

    @property
    def total(self) -> int:
        """All layers."""
        return self.fat + self.dough


def laminated(folds: Sequence[int], locked_in: int = 1) -> Layers:
    """How many layers has a dough after these folds?

    ``folds``: 3 for a letter fold, 4 for a book fold, 2 for a half. ``locked_in``: layers of fat at the start: 1 for an
    envelope, 2 where fat covers two thirds and the dough is folded in three.

    Raises OutOfRange for folds below 2, nothing locked in or more than a million layers.

    Source: fat layers multiply; between them and outside lies one dough layer more (common practice).

    >>> laminated([3, 3, 3]).fat
    27
    """
    checked(locked_in, "the number of fat layers at the start", 1, 10, "layers")
    for fold in folds:
        checked(fold, "a fold", 2, 8, "layers")
    fat = locked_in * math.prod(folds)
    if fat > _MOST_LAYERS:
        raise OutOfRange(f"there would be {fat} layers of fat: no fold keeps more than {_MOST_LAYERS} apart")
    return Layers(fat, fat + 1)


def linear_growth_ratio(volume_ratio: float) -> float:
    """By how much does each side grow when a piece grows alike in all directions to so many times its volume? [ratio]

    Raises OutOfRange for a volume ratio outside 0.1 to 20.

    Source: cube root.

    >>> round(linear_growth_ratio(2.0), 3)
    1.26
    """
    return math.cbrt(checked(volume_ratio, "the growth in volume", 0.1, 20.0, "times"))


def ball_diameter_mm(mass_g: float, density_g_per_cm3: float) -> float:
    """How wide is a ball of this much dough? [mm]

    Raises OutOfRange for a mass that is not positive or a density outside 0.05 to 2 g/cm³.

    Source: volume of a sphere.

    >>> round(ball_diameter_mm(60.0, 1.15), 1)
    46.4
    """
    density = checked(density_g_per_cm3, "the density", 0.05, 2.0, "g/cm³")
    return math.cbrt(6.0 * checked_positive(mass_g, "the mass", "g") / density * 1000.0 / math.pi)


def _area_mm2(length_mm: float, width_mm: float) -> float:
    return checked_positive(length_mm, "the length", "mm") * checked_positive(width_mm, "the width", "mm")


def _pitch_mm(dough_mm: float, filling_mm: float) -> float:
    dough = checked_positive(dough_mm, "the thickness of the dough", "mm")
    return dough + checked_not_negative(filling_mm, "the thickness of the filling", "mm")
