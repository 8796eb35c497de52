"""How a piece of dough follows the temperature around it: one equation for its mean temperature.

    d(mean)/dt = (ambient - mean) / time constant + own heating

The time constant counts the resistance inside the piece as well as that of the air at its surface. Against the exact
series solution the mean is off by at most 1 % of the temperature step for Biot numbers up to 1, 3.4 % at 3 and 8.5 % at
10. Leaving the inner resistance out (plain "Newton" cooling) would be wrong by 17 to 56 % in time for real doughs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal

from smallhours.errors import BadInput, Impossible
from smallhours.science.ranges import checked, checked_not_negative, checked_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

Shape = Literal["slab", "cylinder", "sphere"]
# dimensions along which heat flows, and the share of the half size that counts as inner resistance (1/beta)
_DIMENSIONS: dict[Shape, int] = {"slab": 1, "cylinder": 2, "sphere": 3}
_BETA: dict[Shape, float] = {"slab": 3.0, "cylinder": 4.0, "sphere": 5.0}
_COLDEST_C, _HOTTEST_C = -60.0, 350.0
_FIRST_ZERO_OF_J0 = 2.404825557695773
# a temperature this close to the one it settles at counts as reached
_SETTLED_K = 1e-9


def time_constant_s(
    shape: Shape,
    half_size_mm: float,
    density_kg_per_m3: float,
    specific_heat_j_per_g_k: float,
    conductivity_w_per_m_k: float,
    heat_transfer_w_per_m2_k: float,
) -> float:
    """How long until a piece has gone 63 % of the way to the temperature around it? [s]

    ``half_size_mm``: half the thickness of a slab that is open on both sides (its whole thickness if on one), the
    radius of a cylinder or sphere. ``heat_transfer_w_per_m2_k``: of air and radiation at the surface.

    Raises OutOfRange for a value that is not positive, BadInput for another shape.

    Source: lumped capacity with the inner resistance half size / (beta x conductivity), beta = 3, 4, 5 for slab,
    cylinder, sphere: the limit of the exact series for a small Biot number.

    >>> round(time_constant_s("sphere", 43.0, 1150.0, 2.8, 0.40, 9.0) / 60)
    102
    """
    thick = checked_positive(half_size_mm, "the half size", "mm") / 1000.0
    density = checked_positive(density_kg_per_m3, "the density", "kg/m³")
    heat = checked_positive(specific_heat_j_per_g_k, "the specific heat", "J/(g K)") * 1000.0
    inner = checked_positive(conductivity_w_per_m_k, "the conductivity", "W/(m K)")
    outer = checked_positive(heat_transfer_w_per_m2_k, "the heat transfer", "W/(m² K)")
    dimensions = _dimensions(shape)
    return density * heat * thick / dimensions * (1.0 / outer + thick / (_BETA[shape] * inner))


def combined_time_constant_s(time_constants_s: Sequence[float]) -> float:
    """The time constant of a piece that loses heat along several directions at once, each with its own [s].

    A log of finite length is a cylinder and a slab, a block three slabs.

    Raises OutOfRange for a time constant that is not positive, BadInput for none.

    Source: product solution for short cylinders and bricks (Newman 1936): exponentials multiply, so rates add.

    >>> combined_time_constant_s([3600.0, 1800.0])
    1200.0
    """
    if not time_constants_s:
        raise BadInput("a piece needs at least one direction along which it loses heat")
    return 1.0 / sum(1.0 / checked_positive(t, "a time constant", "s") for t in time_constants_s)


@dataclass(frozen=True)
class Stay:
    """A time in one place: how long, how warm it is there, how fast the piece follows, how fast it warms itself.

    ``self_heating_k_per_s``: warming by its own fermentation if no heat left.
    """

    duration_s: float
    ambient_c: float
    time_constant_s: float
    self_heating_k_per_s: float = 0.0

    def __post_init__(self) -> None:
        checked_not_negative(self.duration_s, "the duration of a stay", "s")
        checked(self.ambient_c, "the temperature of a place", _COLDEST_C, _HOTTEST_C, "°C")
        checked_positive(self.time_constant_s, "the time constant of a stay", "s")
        checked(self.self_heating_k_per_s, "the self-heating", -0.01, 0.01, "K/s")

    @property
    def settles_at_c(self) -> float:
        """The temperature the piece would reach in the end [°C]."""
        return self.ambient_c + self.self_heating_k_per_s * self.time_constant_s


def mean_temp_c(start_c: float, stays: Sequence[Stay]) -> float:
    """How warm, on average through the piece, is it after these stays? [°C]

    Raises OutOfRange for a start outside -60 to 350 °C.

    Source: exact solution of the equation above for each stay.

    >>> fridge = Stay(3600.0, 4.0, 6122.0)
    >>> round(mean_temp_c(24.0, [fridge]), 1)
    15.1
    """
    temp = checked(start_c, "the temperature at the start", _COLDEST_C, _HOTTEST_C, "°C")
    for stay in stays:
        temp = stay.settles_at_c + (temp - stay.settles_at_c) * math.exp(-stay.duration_s / stay.time_constant_s)
    return temp


def mean_temps_c(start_c: float, stays: Sequence[Stay], times_s: ArrayLike) -> NDArray[np.float64]:
    """The mean temperature at many times [°C], an array of the same shape as ``times_s``.

    ``times_s``: seconds from the start of the first stay, any order, zero or more; after the last stay its place
    goes on.

    Raises OutOfRange for a negative or undefined time or a start outside -60 to 350 °C, BadInput without stays.

    Source: exact solution of the equation above for each stay.
    """
    import numpy as np

    times = np.asarray(times_s, dtype=np.float64)
    if not stays:
        raise BadInput("a path of temperatures needs at least one stay")
    if times.size:
        checked(float(np.min(times)), "the earliest time", 0.0, math.inf, "s")
    begins, starts = [0.0], [checked(start_c, "the temperature at the start", _COLDEST_C, _HOTTEST_C, "°C")]
    for stay in stays[:-1]:
        begins.append(begins[-1] + stay.duration_s)
        starts.append(mean_temp_c(starts[-1], [stay]))
    which = np.searchsorted(np.asarray(begins), times, side="right") - 1
    settled = np.asarray([stay.settles_at_c for stay in stays])[which]
    constants = np.asarray([stay.time_constant_s for stay in stays])[which]
    since = times - np.asarray(begins)[which]
    temps: NDArray[np.float64] = settled + (np.asarray(starts)[which] - settled) * np.exp(-since / constants)
    return temps


def time_to_temp_s(start_c: float, wanted_c: float, stays: Sequence[Stay]) -> float:
    """When does the mean temperature first reach what is wanted? [s from the start of the first stay]

    After the last stay its place goes on.

    Raises OutOfRange for temperatures outside -60 to 350 °C, BadInput without stays, Impossible if it never does.

    Source: ``mean_temp_c``, solved for the time.

    >>> round(time_to_temp_s(24.0, 15.0, [Stay(36_000.0, 4.0, 6122.0)]) / 60)
    61
    """
    if not stays:
        raise BadInput("a path of temperatures needs at least one stay")
    temp = checked(start_c, "the temperature at the start", _COLDEST_C, _HOTTEST_C, "°C")
    checked(wanted_c, "the wanted temperature", _COLDEST_C, _HOTTEST_C, "°C")
    passed = 0.0
    for number, stay in enumerate(stays, 1):
        far, near = temp - stay.settles_at_c, wanted_c - stay.settles_at_c
        if temp == wanted_c:
            return passed
        if far * near > 0.0 and abs(near) < abs(far) and abs(near) > _SETTLED_K:
            needed = stay.time_constant_s * math.log(far / near)
            if needed <= stay.duration_s or number == len(stays):
                return passed + needed
        passed += stay.duration_s
        temp = mean_temp_c(temp, [stay])
    raise Impossible(
        f"it would never reach {wanted_c:g} °C: it settles at {stays[-1].settles_at_c:.1f} °C; "
        "put it in another place or change the temperature there"
    )


def biot_number(half_size_mm: float, conductivity_w_per_m_k: float, heat_transfer_w_per_m2_k: float) -> float:
    """How much harder is it for heat to pass through the piece than through its surface? [dimensionless]

    Raises OutOfRange for a value that is not positive.

    Source: definition: heat transfer x half size / conductivity.
    """
    thick = checked_positive(half_size_mm, "the half size", "mm") / 1000.0
    outer = checked_positive(heat_transfer_w_per_m2_k, "the heat transfer", "W/(m² K)")
    return outer * thick / checked_positive(conductivity_w_per_m_k, "the conductivity", "W/(m K)")


@cache
def core_ratio(shape: Shape, biot_number: float) -> float:
    """How much further than the mean is the core from the temperature around it, once settled? [ratio, 1 or more]

    Settled means after about a fifth of the squared half size over the diffusivity.

    Raises OutOfRange for a Biot number outside 0.001 to 1000, BadInput for another shape.

    Source: first term of the exact series for a slab, cylinder or sphere: 1 / mean of its first mode.

    >>> round(core_ratio("slab", 1.0), 3)
    1.135
    """
    biot = checked(biot_number, "the Biot number", 1e-3, 1e3, "")
    dimensions = _dimensions(shape)
    if dimensions == 1:
        root = _root(lambda z: z * math.sin(z) - biot * math.cos(z), math.pi / 2)
        return root / math.sin(root)
    if dimensions == 2:
        root = _root(lambda z: z * _bessel(1, z) - biot * _bessel(0, z), _FIRST_ZERO_OF_J0)
        return root / (2.0 * _bessel(1, root))
    root = _root(lambda z: (1.0 - biot) * math.sin(z) - z * math.cos(z), math.pi)
    return root**3 / (3.0 * (math.sin(root) - root * math.cos(root)))


def core_temp_c(mean_c: float, ambient_c: float, core_ratio: float) -> float:
    """How warm is the core, once settled, when the mean and the place are known? [°C]

    Raises OutOfRange for temperatures outside -60 to 350 °C or a ratio below 1.

    Source: first term of the exact series: core - ambient = ratio x (mean - ambient).
    """
    checked(mean_c, "the mean temperature", _COLDEST_C, _HOTTEST_C, "°C")
    checked(ambient_c, "the temperature of a place", _COLDEST_C, _HOTTEST_C, "°C")
    return ambient_c + checked(core_ratio, "the ratio of core to mean", 1.0, 10.0, "") * (mean_c - ambient_c)


def _dimensions(shape: Shape) -> int:
    if shape not in _DIMENSIONS:
        raise BadInput(f"the shape must be slab, cylinder or sphere (found {shape!r})")
    return _DIMENSIONS[shape]


def _root(rising: Callable[[float], float], high: float) -> float:
    """Where a function that is negative just above zero and positive just below ``high`` changes sign."""
    low = 0.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < 0.0 else (low, middle)
    return (low + high) / 2


def _bessel(order: int, z: float) -> float:
    """Bessel function of the first kind, order 0 or 1, by its power series; 20 terms are exact for z below 3."""
    term = total = (z / 2.0) ** order
    for k in range(1, 20):
        term *= -(z * z / 4.0) / (k * (k + order))
        total += term
    return total
