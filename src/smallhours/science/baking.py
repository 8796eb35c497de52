"""How long until the core of a piece is baked, from the baker's own bake.

    core = boiling + (start - boiling) x what conduction leaves of a step at the middle

The surface counts as held at the boiling point from the start: behind the crust it is water that sets the
temperature, not the oven. One number, the effective diffusivity, takes up everything else: vapour carried through the
pores, the time the surface takes to get hot, tin, oven, steam. It has to come from a logged bake of the same kind of
product in the same oven. Sizes, start, core and boiling point then follow from the exact series.

Measured curves rise more steeply than this. A published bake (Zhang et al. 2005) reached 95 °C in 9.8 minutes; anchored
to its own 93 °C that is met within 2 %, to 88 or 97.5 °C within 13 %, to 80 °C within 22 %: log the core near its end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.science.conduction import first_coefficient_ratio, left_fraction, roots_rad
from smallhours.science.ranges import checked_all, checked_all_positive
from smallhours.science.warming import Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

BELOW_BOILING_K = 2.0
"""A core comes close to the boiling point ever more slowly; nearer than this it is no aim [K]; common practice."""
_HELD = math.inf  # the Biot number of a surface that is held at the boiling point
_LEAST_FOURIER = 1e-5
_MOST_STEPS, _CLOSE_ENOUGH = 200, 1e-12


@dataclass(frozen=True)
class Direction:
    """A direction along which heat comes in: how the piece ends there, its half size, and where the core is.

    A round is one sphere, a long log one cylinder, a sheet one slab, a tin two or three slabs, a short log a cylinder
    and a slab. ``half_size_mm``: the radius, or half the thickness, about mid-bake; an array for many pieces.
    ``position_fraction``: 0 at the middle, 1 at the surface, for a probe that is not in the middle.
    """

    shape: Shape
    half_size_mm: ArrayLike
    position_fraction: float = 0.0

    def __post_init__(self) -> None:
        checked_all_positive(self.half_size_mm, "the half size", "mm")
        checked_all(self.position_fraction, "the position of the core", 0.0, 0.99, "of the half size")


@dataclass(frozen=True)
class Bake:
    """What is baked and how far: size, temperature going in, core wanted, boiling point here, set temperature.

    Numbers or arrays that broadcast together.
    """

    directions: Sequence[Direction]
    start_c: ArrayLike
    core_c: ArrayLike
    boiling_c: ArrayLike
    oven_c: ArrayLike

    def __post_init__(self) -> None:
        import numpy as np

        if not self.directions:
            raise BadInput("a piece needs at least one direction along which heat comes in")
        checked_core_c(self.start_c, self.core_c, self.boiling_c)
        oven = checked_all(self.oven_c, "the oven", 0.0, 400.0, "°C")
        cold, core = np.broadcast_arrays(oven, np.asarray(self.core_c, dtype=np.float64))
        if (cold <= core).any():
            where = cold <= core
            raise Impossible(
                f"an oven at {cold[where].flat[0]:g} °C never brings a core to {core[where].flat[0]:g} °C: "
                "set it hotter"
            )


def highest_core_c(boiling_c: ArrayLike) -> Floats:
    """The highest core temperature that is an aim at this boiling point [°C].

    Raises OutOfRange for a boiling point outside 80 to 105 °C.

    Source: common practice: boiling less 2 K; at 1600 m 95 °C is out of reach.

    >>> round(float(highest_core_c(94.65)), 2)
    92.65
    """
    found: Floats = checked_all(boiling_c, "the boiling point", 80.0, 105.0, "°C") - BELOW_BOILING_K
    return found


def checked_core_c(start_c: ArrayLike, core_c: ArrayLike, boiling_c: ArrayLike) -> Floats:
    """The core temperature itself if it can be reached from this start at this boiling point [°C].

    Raises OutOfRange, also for NaN and for a core that is not yet half way from start to boiling (the crumb would be
    raw); Impossible for one above the boiling point less 2 K.
    """
    import numpy as np

    start = checked_all(start_c, "the temperature going in", -20.0, 60.0, "°C")
    core = checked_all(core_c, "the core temperature", 0.0, 200.0, "°C")
    start, core, highest = np.broadcast_arrays(start, core, highest_core_c(boiling_c))
    above = core > highest
    if above.any():
        raise Impossible(
            f"no core comes to {core[above].flat[0]:g} °C where water boils at "
            f"{highest[above].flat[0] + BELOW_BOILING_K:.1f} °C: aim at {highest[above].flat[0]:.1f} °C or less"
        )
    middle = (start + highest + BELOW_BOILING_K) / 2.0
    raw = core < middle
    if raw.any():
        raise OutOfRange(
            f"the core temperature must be at least {middle[raw].flat[0]:.0f} °C, half way from the start to boiling "
            f"(found {core[raw].flat[0]:g})"
        )
    return core


def time_to_core_s(bake: Bake, diffusivity_m2_per_s: ArrayLike) -> Floats:
    """How long until the core is there? [s]

    ``diffusivity_m2_per_s``: the effective one of this product in this oven.

    Raises OutOfRange for a diffusivity outside 1e-8 to 1e-5 m²/s.

    Source: Carslaw & Jaeger (1959), series with the surface held at the boiling point; products for several directions.
    Expected error: a factor of 1.5 untrained, 10 % with a logged bake (judgement; 8 % and 3 % off two published bakes).

    >>> round_loaf = Bake([Direction("sphere", 40.0)], start_c=30.0, core_c=95.0, boiling_c=100.0, oven_c=220.0)
    >>> round(float(time_to_core_s(round_loaf, 6.3e-7)) / 60, 1)
    14.3
    """
    diffusivity = checked_all(diffusivity_m2_per_s, "the effective diffusivity", 1e-8, 1e-5, "m²/s")
    found: Floats = _spread_m2(bake) / diffusivity
    return found


def effective_diffusivity_m2_per_s(bake: Bake, time_s: ArrayLike) -> Floats:
    """Which effective diffusivity does a logged bake stand for? [m²/s]

    ``time_s``: from going in until the core was at ``bake.core_c``.

    Raises OutOfRange for a time that is not positive.

    Source: ``time_to_core_s``, solved for the diffusivity.

    >>> round_loaf = Bake([Direction("sphere", 40.0)], start_c=30.0, core_c=95.0, boiling_c=100.0, oven_c=220.0)
    >>> f"{float(effective_diffusivity_m2_per_s(round_loaf, 14.29 * 60)):.2e}"
    '6.30e-07'
    """
    found: Floats = _spread_m2(bake) / checked_all_positive(time_s, "the bake time", "s")
    return found


def scaled_time_s(logged: Bake, logged_time_s: ArrayLike, wanted: Bake, oven_time_ratio: ArrayLike = 1.0) -> Floats:
    """How long will this bake take, if that one took so long? [s]

    For the same kind of product in the same kind of oven; what other size, start, core and altitude change.
    ``oven_time_ratio``: by how much another set temperature or heat transfer changes the time (``evaporation_front``).

    Raises OutOfRange for a time or ratio that is not positive.

    Source: ``time_to_core_s``; the effective diffusivity cancels out.
    """
    time = checked_all_positive(logged_time_s, "the logged bake time", "s")
    ratio = checked_all_positive(oven_time_ratio, "the ratio of times", "")
    found: Floats = time * ratio * _spread_m2(wanted) / _spread_m2(logged)
    return found


def core_temps_c(
    directions: Sequence[Direction],
    diffusivity_m2_per_s: ArrayLike,
    start_c: ArrayLike,
    boiling_c: ArrayLike,
    times_s: ArrayLike,
) -> Floats:
    """How warm is the core at these times? [°C] Arrays that broadcast together.

    Raises OutOfRange for values outside the ranges of ``time_to_core_s`` or a negative time, BadInput for no direction.

    Source: as ``time_to_core_s``. In the first third of a bake a real core is colder, before the end warmer.
    """
    if not directions:
        raise BadInput("a piece needs at least one direction along which heat comes in")
    diffusivity = checked_all(diffusivity_m2_per_s, "the effective diffusivity", 1e-8, 1e-5, "m²/s")
    start = checked_all(start_c, "the temperature going in", -20.0, 60.0, "°C")
    boiling = checked_all(boiling_c, "the boiling point", 80.0, 105.0, "°C")
    times = checked_all(times_s, "the time in the oven", 0.0, 100_000.0, "s")
    found: Floats = boiling + (start - boiling) * _left(directions, diffusivity * times)
    return found


def size_time_ratio(mass_ratio: ArrayLike) -> Floats:
    """By how much longer bakes a piece of the same shape with so many times the mass? [ratio]

    Raises OutOfRange for a ratio outside 0.05 to 20.

    Source: time goes with the square of the size, size with the cube root of mass.

    >>> round(float(size_time_ratio(2.0)), 3)
    1.587
    """
    found: Floats = checked_all(mass_ratio, "the ratio of masses", 0.05, 20.0, "") ** (2.0 / 3.0)
    return found


def ball_radius_mm(mass_g: ArrayLike, specific_volume_ml_per_g: ArrayLike) -> Floats:
    """The radius of a round of this mass [mm].

    Raises OutOfRange for a mass that is not positive or a specific volume outside 0.7 to 10 ml/g.

    Source: volume of a sphere.

    >>> round(float(ball_radius_mm(80.0, 3.35)), 1)
    40.0
    """
    found: Floats = (0.75 / math.pi * _volume_mm3(mass_g, specific_volume_ml_per_g)) ** (1.0 / 3.0)
    return found


def log_radius_mm(mass_g: ArrayLike, specific_volume_ml_per_g: ArrayLike, length_mm: ArrayLike) -> Floats:
    """The radius of a log of this mass and length [mm].

    Raises OutOfRange as ``ball_radius_mm``, and for a length that is not positive.

    Source: volume of a cylinder.
    """
    length = checked_all_positive(length_mm, "the length", "mm")
    found: Floats = (_volume_mm3(mass_g, specific_volume_ml_per_g) / (math.pi * length)) ** 0.5
    return found


def slab_half_mm(mass_g: ArrayLike, specific_volume_ml_per_g: ArrayLike, area_mm2: ArrayLike) -> Floats:
    """Half the thickness of a slab of this mass in a pan of this area [mm].

    Raises OutOfRange as ``ball_radius_mm``, and for an area that is not positive.

    Source: volume of a slab.
    """
    area = checked_all_positive(area_mm2, "the area of the pan", "mm²")
    found: Floats = _volume_mm3(mass_g, specific_volume_ml_per_g) / (2.0 * area)
    return found


def _volume_mm3(mass_g: ArrayLike, specific_volume_ml_per_g: ArrayLike) -> Floats:
    volume = checked_all(specific_volume_ml_per_g, "the specific volume", 0.7, 10.0, "ml/g")
    found: Floats = checked_all_positive(mass_g, "the mass of a piece", "g") * volume * 1000.0
    return found


def _left(directions: Sequence[Direction], spread_m2: Floats) -> Floats:
    """What is left of the step at the core once diffusivity x time is this much."""
    import numpy as np

    left: Floats = np.ones(())
    for way in directions:
        size = np.asarray(way.half_size_mm, dtype=np.float64) / 1000.0
        fourier = spread_m2 / size**2
        # so early the core has not felt anything
        shown = np.where(fourier < _LEAST_FOURIER, 0.0, fourier)
        left = left * left_fraction(way.shape, _HELD, shown, way.position_fraction)
    return np.clip(left, 0.0, 1.0)


def _spread_m2(bake: Bake) -> Floats:
    """The diffusivity x time that brings the core there: Newton's steps with the slope of the first term."""
    import numpy as np

    start, core, boiling = (np.asarray(v, dtype=np.float64) for v in (bake.start_c, bake.core_c, bake.boiling_c))
    wanted = (boiling - core) / (boiling - start)
    rate: Floats = np.zeros(())
    coefficient = 1.0
    for way in bake.directions:
        root = float(roots_rad(way.shape, _HELD)[0])
        rate = rate + (root * 1000.0 / np.asarray(way.half_size_mm, dtype=np.float64)) ** 2
        coefficient *= first_coefficient_ratio(way.shape, _HELD)
    found: Floats = np.log(coefficient / wanted) / rate  # what the first term alone says; it is nearly all there is
    for _ in range(_MOST_STEPS):
        step = np.log(_left(bake.directions, found) / wanted) / rate
        found = found + step
        if (np.abs(step) <= _CLOSE_ENOUGH * found).all():
            break
    return found
