"""What humid air does to a surface: sweating, skinning, and the heat that goes with the water.

A surface below the dew point sweats, one well above it dries. Water that settles brings its heat of evaporation along:
dough at 24 °C in a proofer of 35 °C and 80 % warms about three times as fast as the air alone would warm it, and bare
dough in a fridge cools three times as fast, until its skin is dry. Arrays in, arrays out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from smallhours.errors import BadInput
from smallhours.science.altitude import SEA_LEVEL_PA
from smallhours.science.moist_air import (
    DRY_AIR_J_PER_G_K,
    VAPOUR_J_PER_G_K,
    dew_point_c,
    evaporation_heat_j_per_g,
    humidity_ratio,
)
from smallhours.science.ranges import checked, checked_all, checked_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

SurfaceState = Literal["sweats", "even", "dries"]
LEWIS_RATIO = 0.865
"""Thermal diffusivity of air over the diffusivity of vapour in it [ratio], near room temperature (handbook value)."""
MARGIN_K = 0.3
"""Within this of the dew point nobody can say whether a surface sweats [K]: sensors are no better (judgement)."""
_SECONDS_PER_HOUR = 3600.0
_STEPS = 200


def surface_state(
    surface_c: float, air_c: float, relative_humidity_fraction: float, margin_k: float = MARGIN_K
) -> SurfaceState:
    """Does a surface sweat, or does its moisture dry into the air? ``even`` within the margin of the dew point [K].

    For a cold tray pushed into a warm proofer, a glazed roll that is packed, dough that is left uncovered.

    Raises OutOfRange for temperatures and humidity outside those of ``moist_air.dew_point_c``.

    Source: definition of the dew point.

    >>> surface_state(4.0, 28.0, 0.70)
    'sweats'
    >>> surface_state(24.0, 28.0, 0.70)
    'dries'
    """
    checked(surface_c, "the temperature of the surface", -40.0, 110.0, "°C")
    above_k = surface_c - float(dew_point_c(air_c, relative_humidity_fraction))
    if abs(above_k) <= checked(margin_k, "the margin", 0.0, 10.0, "K"):
        return "even"
    return "sweats" if above_k < 0.0 else "dries"


@dataclass(frozen=True, eq=False)
class SurfaceFlow:
    """What a wet surface gets from the air: numbers or arrays, negative where it gives.

    ``sensible_w_per_m2``: from the air's warmth; ``latent_w_per_m2``: with the water; ``water_g_per_m2_h``: the water.
    """

    sensible_w_per_m2: ArrayLike
    latent_w_per_m2: ArrayLike
    water_g_per_m2_h: ArrayLike

    @property
    def heat_w_per_m2(self) -> Floats:
        """All the heat [W/m²]."""
        import numpy as np

        heat: Floats = np.asarray(self.sensible_w_per_m2) + np.asarray(self.latent_w_per_m2)
        return heat


def wet_surface_flow(
    surface_c: ArrayLike,
    air_c: ArrayLike,
    relative_humidity_fraction: ArrayLike,
    heat_transfer_w_per_m2_k: ArrayLike,
    pressure_pa: ArrayLike = SEA_LEVEL_PA,
) -> SurfaceFlow:
    """How much heat and water does a wet surface take up from the air?

    ``surface_c``: 0 to 100 °C. ``heat_transfer_w_per_m2_k``: by convection, without radiation (about half to two thirds
    of what a table of places gives). A surface that has dried gives no more water: then only the sensible part holds.

    Raises OutOfRange.

    Source: analogy of heat and mass transfer (Chilton & Colburn): water = h / (c Le^(2/3)) x difference in humidity
    ratio, with c the specific heat of the humid air.

    >>> flow = wet_surface_flow(24.0, 35.0, 0.80, 6.0)
    >>> round(float(flow.sensible_w_per_m2)), round(float(flow.latent_w_per_m2)), round(float(flow.water_g_per_m2_h))
    (66, 153, 225)
    """
    surface = checked_all(surface_c, "the temperature of the surface", 0.0, 100.0, "°C")
    transfer = checked_all(heat_transfer_w_per_m2_k, "the heat transfer", 0.0, 500.0, "W/(m² K)")
    in_air = humidity_ratio(air_c, relative_humidity_fraction, pressure_pa)
    at_surface = humidity_ratio(surface, 1.0, pressure_pa)
    capacity = DRY_AIR_J_PER_G_K + VAPOUR_J_PER_G_K * in_air
    water_g_per_m2_s = transfer / (capacity * LEWIS_RATIO ** (2.0 / 3.0)) * (in_air - at_surface)
    return SurfaceFlow(
        transfer * (checked_all(air_c, "the temperature of the air", -40.0, 110.0, "°C") - surface),
        water_g_per_m2_s * evaporation_heat_j_per_g(surface),
        water_g_per_m2_s * _SECONDS_PER_HOUR,
    )


def wet_heat_ratio(
    surface_c: ArrayLike, air_c: ArrayLike, relative_humidity_fraction: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Floats:
    """How many times as much heat does a wet surface exchange as a dry one? [ratio]

    Below 1 where drying eats up the air's warmth, negative where it wins. Ranges as ``wet_surface_flow``.

    Raises OutOfRange, BadInput where surface and air have the same temperature.

    Source: ``wet_surface_flow``.

    >>> round(float(wet_heat_ratio(24.0, 35.0, 0.80)), 1)
    3.3
    """
    import numpy as np

    flow = wet_surface_flow(surface_c, air_c, relative_humidity_fraction, 1.0, pressure_pa)
    sensible = np.asarray(flow.sensible_w_per_m2)
    if bool((sensible == 0.0).any()):
        raise BadInput("a surface as warm as the air gets no heat from it, so there is nothing to compare with")
    found: Floats = flow.heat_w_per_m2 / sensible
    return found


def effective_air_c(
    surface_c: ArrayLike, air_c: ArrayLike, relative_humidity_fraction: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Floats:
    """How warm would dry air have to be to give a wet surface the same heat? [°C]

    Use it in place of the temperature of the place while the surface is below the dew point; for bare dough in a fridge
    only for its first minutes. Ranges as ``wet_surface_flow``.

    Raises OutOfRange.

    Source: ``wet_surface_flow``; within 3 % of 1.66 K for each 100 Pa of vapour pressure between air and surface.
    """
    import numpy as np

    flow = wet_surface_flow(surface_c, air_c, relative_humidity_fraction, 1.0, pressure_pa)
    return np.asarray(surface_c, dtype=np.float64) + flow.heat_w_per_m2


@dataclass(frozen=True)
class Sweating:
    """For how long something sweats [s], and how much water it takes up by then [g/m²]."""

    duration_s: float
    water_g_per_m2: float


def sweating(
    surface_c: float,
    air_c: float,
    relative_humidity_fraction: float,
    heat_transfer_w_per_m2_k: float,
    capacity_j_per_m2_k: float,
    pressure_pa: float = SEA_LEVEL_PA,
) -> Sweating:
    """For how long does something thin and cold sweat in warm air, and how wet does it get? [s] and [g/m²]

    ``capacity_j_per_m2_k``: heat that warms it by one kelvin per m² of surface that meets the air: 1.5 mm of aluminium
    3600, 1 mm of steel 3900 (half of that with both faces open). Its inside follows its surface: a tray, not a dough.

    Raises OutOfRange as ``wet_surface_flow``. What is not below the dew point does not sweat: then both are 0.

    Source: heat balance of the plate with ``wet_surface_flow``, integrated from its temperature to the dew point.
    """
    import numpy as np

    capacity = checked_positive(capacity_j_per_m2_k, "the heat capacity", "J/(m² K)")
    dew_c = float(dew_point_c(air_c, relative_humidity_fraction))
    if checked(surface_c, "the temperature of the surface", 0.0, 100.0, "°C") >= dew_c:
        return Sweating(0.0, 0.0)
    temps = np.linspace(surface_c, dew_c, _STEPS + 1)
    flow = wet_surface_flow(temps, air_c, relative_humidity_fraction, heat_transfer_w_per_m2_k, pressure_pa)
    slowness = capacity / flow.heat_w_per_m2
    water = slowness * np.asarray(flow.water_g_per_m2_h) / _SECONDS_PER_HOUR
    return Sweating(float(np.trapezoid(slowness, temps)), float(np.trapezoid(water, temps)))
