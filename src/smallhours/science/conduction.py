"""Exact warming and chilling of a piece that is put into one place: the series solutions of heat conduction.

What is left of a step in temperature is (temperature - place) / (start - place): 1 at first, 0 in the end. It depends
on the shape, on the Biot number (heat transfer at the surface x half size / conductivity), on the Fourier number
(diffusivity x time / half size squared) and on the position (0 at the middle, 1 at the surface). The half size is half
the thickness of a slab that is open on both sides (its whole thickness if on one), the radius of a cylinder or sphere.

For a path of places, growing pieces, different sides or own heat, see ``heat_path``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.ranges import checked, checked_all, checked_all_positive, checked_positive
from smallhours.science.warming import Shape, biot_number

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

SHAPES: tuple[Shape, ...] = ("slab", "cylinder", "sphere")
_LEAST_BIOT, _MOST_BIOT = 1e-3, 1e6
_LEAST_FOURIER = 1e-5
# how many terms are summed: one of these, so that few sets of roots are kept
_TERMS = (16, 64, 256, 640)
# bisection of all brackets at once; a bracket is at most one turn wide
_HALVINGS = 54


@lru_cache(maxsize=4096)
def roots_rad(shape: Shape, biot_number: float, terms_count: int = 16) -> Floats:
    """The first roots of the characteristic equation [rad], rising, shape ``(terms_count,)``.

    ``biot_number``: 0.001 to 1e6, or infinity for a surface held at the temperature of the place.

    Raises OutOfRange, BadInput for another shape.

    Source: Carslaw & Jaeger, Conduction of Heat in Solids (1959), 3.11, 7.7, 9.4: slab z tan z = Bi, cylinder
    z J1(z) = Bi J0(z), sphere 1 - z cot z = Bi; each root lies alone between neighbouring zeros of their parts.

    >>> [round(float(z), 6) for z in roots_rad("slab", 1.0, 2)]
    [0.860334, 3.425618]
    """
    import numpy as np

    if biot_number != math.inf:
        checked(biot_number, "the Biot number", _LEAST_BIOT, _MOST_BIOT, "")
    checked(terms_count, "the number of terms", 1, 100_000, "")
    equation, edges = _equation(shape, biot_number, terms_count)
    if biot_number == math.inf:
        found = edges[1:]
    else:
        low, high = edges[:-1].copy(), edges[1:].copy()
        at_low = np.sign(equation(low + 1e-9))
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            below = np.sign(equation(middle)) == at_low
            low, high = np.where(below, middle, low), np.where(below, high, middle)
        found = (low + high) / 2.0
    found.flags.writeable = False
    return found


def first_coefficient_ratio(shape: Shape, biot_number: float) -> float:
    """The factor before the first term of the series at the middle [ratio to the step].

    Raises OutOfRange, BadInput as ``roots_rad``.

    Source: Carslaw & Jaeger (1959), as ``roots_rad``.

    >>> round(first_coefficient_ratio("sphere", 1.0), 4)
    1.2732
    """
    return float(_coefficients(shape, roots_rad(shape, biot_number))[0])


def left_fraction(
    shape: Shape, biot_number: ArrayLike, fourier_number: ArrayLike, position_fraction: ArrayLike = 0.0
) -> Floats:
    """What is left of the step at a position inside the piece [fraction].

    Arrays that broadcast together. ``fourier_number``: 0, or 1e-5 and more (a second for most doughs).
    ``position_fraction``: 0 at the middle to 1 at the surface.

    Raises OutOfRange, BadInput for another shape.

    Source: Carslaw & Jaeger (1959), as ``roots_rad``; as many terms as the smallest Fourier number needs.

    >>> round(float(left_fraction("slab", 1.0, 0.2)), 5)
    0.95064
    """
    position = checked_all(position_fraction, "the position", 0.0, 1.0, "of the half size")
    return _summed(shape, biot_number, fourier_number, position)


def mean_left_fraction(shape: Shape, biot_number: ArrayLike, fourier_number: ArrayLike) -> Floats:
    """What is left of the step on average through the piece [fraction]: the share of its heat not yet exchanged.

    Arrays that broadcast together; ranges and errors as ``left_fraction``.

    Source: Carslaw & Jaeger (1959), as ``roots_rad``.

    >>> round(float(mean_left_fraction("sphere", 1.0, 1.0)), 6)
    0.083578
    """
    return _summed(shape, biot_number, fourier_number, None)


def together_fraction(*left_fraction: ArrayLike) -> Floats:
    """What is left where heat flows along several directions at once [fraction]: the product of the single ones.

    A brick is three slabs, a short cylinder a cylinder and a slab, a bar two slabs; positions or means alike.

    Raises OutOfRange for a fraction outside 0 to 1, BadInput for none.

    Source: product solution, Carslaw & Jaeger (1959), 1.15; Newman (1936).

    >>> round(float(together_fraction(0.5, 0.5)), 2)
    0.25
    """
    import numpy as np

    if not left_fraction:
        raise BadInput("a piece needs at least one direction along which it loses heat")
    result: Floats = np.ones(())
    for part in left_fraction:
        # the series may end a rounding error beyond its ends
        result = result * checked_all(part, "what is left of a step", -1e-9, 1.0 + 1e-9, "of it")
    return result


def fourier_number(time_s: ArrayLike, half_size_mm: ArrayLike, diffusivity_m2_per_s: ArrayLike) -> Floats:
    """How far has warmth had time to spread, against the size of the piece? [dimensionless]

    Arrays that broadcast together. Raises OutOfRange for a negative time, or a size or diffusivity not positive.

    Source: definition: diffusivity x time / half size squared.
    """
    times = checked_all(time_s, "the time", 0.0, math.inf, "s")
    size = checked_all_positive(half_size_mm, "the half size", "mm") / 1000.0
    found: Floats = checked_all_positive(diffusivity_m2_per_s, "the diffusivity", "m²/s") * times / size**2
    return found


def fourier_number_when(
    shape: Shape, biot_number: float, left_fraction: float, position_fraction: float | None = 0.0
) -> float:
    """At which Fourier number is only this much of the step left? [dimensionless]

    ``position_fraction``: 0 at the middle to 1 at the surface; None for the mean of the piece.

    Raises OutOfRange for what is left outside 1e-6 to 1 or reached before Fourier number 1e-5; BadInput.

    Source: ``left_fraction`` or ``mean_left_fraction``, solved for the Fourier number.

    >>> round(fourier_number_when("sphere", 1.0, 0.107977), 4)
    1.0
    """
    from scipy.optimize import brentq

    wanted = checked(left_fraction, "what is left of the step", 1e-6, 1.0, "of it")
    position = None if position_fraction is None else checked(position_fraction, "the position", 0.0, 1.0, "")
    last = math.log(20.0 / float(roots_rad(shape, biot_number)[0]) ** 2)

    def beyond(fourier_ln_number: float) -> float:
        return float(_summed(shape, biot_number, math.exp(fourier_ln_number), position)) - wanted

    first = math.log(_LEAST_FOURIER) + 1e-12
    if beyond(first) <= 0.0:
        raise OutOfRange(f"{wanted:g} of the step is left almost at once, before Fourier number {_LEAST_FOURIER:g}")
    return math.exp(brentq(beyond, first, last, xtol=1e-13))


def semi_infinite_fraction(
    depth_mm: ArrayLike,
    time_s: ArrayLike,
    diffusivity_m2_per_s: float,
    conductivity_w_per_m_k: float = 1.0,
    heat_transfer_w_per_m2_k: float = math.inf,
) -> Floats:
    """What is left of the step at a depth below the face of a body too thick for its other side to matter [fraction].

    Arrays that broadcast together. Infinite heat transfer (and any conductivity): a face held at the temperature of the
    place. Good for any piece while diffusivity x time < 0.02 x thickness squared.

    Raises OutOfRange for a negative depth or time, or a property that is not positive.

    Source: Carslaw & Jaeger (1959), 2.7; Incropera et al., Fundamentals of Heat and Mass Transfer, eq. 5.63.

    >>> round(float(semi_infinite_fraction(676.6, 60 * 86_400.0, 0.52 / (2050 * 1840))), 3)
    0.429
    """
    import numpy as np
    from scipy.special import erf, erfcx

    depth = checked_all(depth_mm, "the depth", 0.0, 1e9, "mm") / 1000.0
    spread = np.sqrt(checked_all(time_s, "the time", 0.0, math.inf, "s"))
    spread = spread * math.sqrt(checked_positive(diffusivity_m2_per_s, "the diffusivity", "m²/s"))
    inner = checked_positive(conductivity_w_per_m_k, "the conductivity", "W/(m K)")
    if not heat_transfer_w_per_m2_k > 0.0:
        raise OutOfRange(f"the heat transfer must be more than 0 W/(m² K) (found {heat_transfer_w_per_m2_k:g})")
    depth, spread = np.broadcast_arrays(depth, spread)
    eta = np.divide(depth, 2.0 * spread, out=np.full(depth.shape, np.inf), where=spread > 0.0)
    fixed: Floats = np.asarray(erf(eta))
    if heat_transfer_w_per_m2_k < math.inf:
        # exp(2 eta p + p²) erfc(eta + p) without overflow
        fixed = fixed + np.exp(-(eta**2)) * erfcx(eta + heat_transfer_w_per_m2_k * spread / inner)
    return np.where(spread > 0.0, fixed, 1.0)


def depth_mm(left_fraction: ArrayLike, time_s: ArrayLike, diffusivity_m2_per_s: float) -> Floats:
    """How deep below a face held at the temperature of the place is this much of the step left? [mm]

    Arrays that broadcast together. Raises OutOfRange for a share outside 0 to below 1, a negative time or a diffusivity
    that is not positive.

    Source: ``semi_infinite_fraction`` with a held face, solved for the depth.
    """
    import numpy as np
    from scipy.special import erfinv

    left = checked_all(left_fraction, "what is left of the step", 0.0, 1.0 - 1e-15, "of it")
    spread = checked_positive(diffusivity_m2_per_s, "the diffusivity", "m²/s") * checked_all(
        time_s, "the time", 0.0, math.inf, "s"
    )
    found: Floats = 2000.0 * np.sqrt(spread) * erfinv(left)
    return found


def like_block(
    side_mm: Sequence[float], conductivity_w_per_m_k: float, heat_transfer_w_per_m2_k: float
) -> tuple[Shape, float]:
    """The slab, cylinder or sphere that, once settled, follows its place exactly as fast as a block of these sides.

    ``side_mm``: the sides of a brick open on all faces (two: a long bar). For a path of places, where the product of
    slabs no longer holds, a block is followed as this shape. Gives the shape and its half thickness or radius [mm]; of
    the three shapes the one whose core is closest to the block's all along: within 5 % of the step.

    Raises OutOfRange for a value that is not positive, BadInput for no side or more than three.

    Source: equal first rates: (z1/R)² = sum of (z1/half side)² of the slabs, then the closest core.

    >>> shape, radius_mm = like_block([60.0, 60.0, 60.0], 0.2, 9.0)
    >>> shape, round(radius_mm, 1)
    ('sphere', 33.3)
    """
    import numpy as np
    from scipy.optimize import brentq

    if not 1 <= len(side_mm) <= 3:
        raise BadInput(f"a block needs one to three sides (found {len(side_mm)})")

    def biot(half_mm: float) -> float:
        return biot_number(half_mm, conductivity_w_per_m_k, heat_transfer_w_per_m2_k)

    def rate(shape: Shape, half_mm: float) -> float:
        return float((roots_rad(shape, biot(half_mm))[0] / half_mm) ** 2)

    def core(shape: Shape, half_mm: float) -> Floats:
        return left_fraction(shape, biot(half_mm), spread_mm2 / half_mm**2)

    halves = [checked_positive(side, "a side", "mm") / 2.0 for side in side_mm]
    wanted = sum(rate("slab", half) for half in halves)
    spread_mm2 = np.linspace(0.1, 3.0, 30) / wanted
    block = together_fraction(*(core("slab", half) for half in halves))
    fitting: list[tuple[float, Shape, float]] = []
    for shape in SHAPES:
        size = float(brentq(lambda half, shape=shape: rate(shape, half) - wanted, min(halves) * 0.3, min(halves) * 4.0))
        fitting.append((float(np.abs(core(shape, size) - block).max()), shape, size))
    _, best, size = min(fitting)
    return best, size


def _equation(shape: Shape, biot: float, terms: int) -> tuple[Callable[[Floats], Floats], Floats]:
    """A function that is zero at the roots, and the edges between which each of them lies alone."""
    import numpy as np

    numbers: Floats = np.asarray(np.arange(terms + 1) * np.pi, dtype=np.float64)
    if shape == "slab":
        # not (n - 1) pi but half a turn after the last edge, so that an endless Biot number has its roots at the edges
        numbers[:] = np.maximum(numbers - np.pi / 2, 0.0)
        return lambda z: z * np.sin(z) - biot * np.cos(z), numbers
    if shape == "cylinder":
        from scipy.special import j0, j1, jn_zeros

        return lambda z: z * j1(z) - biot * j0(z), np.concatenate(([0.0], jn_zeros(0, terms)))
    if shape == "sphere":
        numbers[0] = 1e-6  # zero itself always solves the equation
        return lambda z: z * np.cos(z) + (biot - 1.0) * np.sin(z), numbers
    raise BadInput(f"the shape must be slab, cylinder or sphere (found {shape!r})")


def _coefficients(shape: Shape, z: Floats) -> Floats:
    import numpy as np

    found: Floats
    if shape == "slab":
        found = 4.0 * np.sin(z) / (2.0 * z + np.sin(2.0 * z))
    elif shape == "cylinder":
        from scipy.special import j0, j1

        found = 2.0 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2)
    else:
        found = 4.0 * (np.sin(z) - z * np.cos(z)) / (2.0 * z - np.sin(2.0 * z))
    return found


def _modes(shape: Shape, z: Floats, position: Floats | None) -> Floats:
    """The modes at a position, or their means over the piece; ``z`` gets the last axis."""
    import numpy as np
    from scipy.special import j0, j1

    found: Floats
    if position is None:
        if shape == "slab":
            return np.sin(z) / z
        if shape == "cylinder":
            found = 2.0 * j1(z) / z
            return found
        return 3.0 * (np.sin(z) - z * np.cos(z)) / z**3
    along = position[..., None] * z
    if shape == "slab":
        return np.cos(along)
    if shape == "cylinder":
        found = j0(along)
        return found
    return np.sinc(along / np.pi)


def _summed(shape: Shape, biot_number: ArrayLike, fourier_number: ArrayLike, position: Floats | float | None) -> Floats:
    import numpy as np

    biot, fourier, where = np.broadcast_arrays(
        checked_all(biot_number, "the Biot number", _LEAST_BIOT, math.inf, ""),
        checked_all(fourier_number, "the Fourier number", 0.0, math.inf, ""),
        0.0 if position is None else position,
    )
    started = fourier > 0.0
    least = float(fourier[started].min()) if started.any() else 1.0
    if least < _LEAST_FOURIER:
        raise OutOfRange(f"the Fourier number must be 0, or {_LEAST_FOURIER:g} and more (found {least:g})")
    # the first term left out is below exp(-40)
    needed = math.sqrt(40.0 / least) / math.pi + 2.0
    terms = next((count for count in _TERMS if count >= needed), _TERMS[-1])
    left = np.ones(fourier.shape)
    for value in np.unique(biot):
        chosen = started & (biot == value)
        z = roots_rad(shape, float(value), terms)
        modes = _modes(shape, z, None if position is None else where[chosen])
        decayed = np.exp(-(z**2) * fourier[chosen][:, None]) * modes
        left[chosen] = decayed @ _coefficients(shape, z)
    return left
