"""Humid air: how much water it holds, where it sheds it, and how warm a wet thing stays in it.

Formulas of ASHRAE Fundamentals (2017), chapter 1, for air near the pressure of the sea or of a mountain town. The
shorter Magnus form is within 0.3 % of them up to 60 °C but 2.4 % off at 100 °C, so it is not used. Arrays in, arrays
out: arguments broadcast together.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from smallhours.errors import OutOfRange
from smallhours.science.altitude import SEA_LEVEL_PA
from smallhours.science.ranges import checked_all

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

ZERO_C_K = 273.15
WATER_PER_AIR_RATIO = 0.621945
"""Molar mass of water over that of dry air [ratio]; ASHRAE Fundamentals (2017), chapter 1."""
DRY_AIR_J_PER_G_K = 1.006
"""Specific heat of dry air [J/(g K)]; ASHRAE Fundamentals (2017), chapter 1."""
VAPOUR_J_PER_G_K = 1.86
"""Specific heat of water vapour [J/(g K)]; ASHRAE Fundamentals (2017), chapter 1."""
VAPOUR_AT_ZERO_J_PER_G = 2501.0
"""Heat of evaporation of water at 0 °C [J/g]; ASHRAE Fundamentals (2017), chapter 1."""
TRIPLE_POINT_C = 0.01
_COLDEST_C, _HOTTEST_C = -60.0, 130.0
_LEAST_PA, _MOST_PA = 30_000.0, 200_000.0
_DRIEST = 1e-4
# Hyland & Wexler (1983): 1/T, 1, T, T², T³, T⁴, ln T
_OVER_ICE = (
    -5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019,
)  # fmt: skip
_OVER_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


def saturation_pressure_pa(temp_c: ArrayLike) -> Floats:
    """How much vapour pressure stands over water (below 0 °C: over ice) in the end? [Pa]

    ``temp_c``: -60 to 130 °C.

    Raises OutOfRange.

    Source: Hyland & Wexler (1983), in ASHRAE Fundamentals (2017), chapter 1, equations 5 and 6.

    >>> round(float(saturation_pressure_pa(25.0)), 1)
    3169.2
    """
    import numpy as np

    pressure: Floats = np.exp(_log_pressure(_temps(temp_c)))
    return pressure


def vapour_pressure_pa(temp_c: ArrayLike, relative_humidity_fraction: ArrayLike) -> Floats:
    """How much of the pressure of this air is water vapour? [Pa]

    ``relative_humidity_fraction``: 0.0001 to 1 (80 % is 0.8); temperature as ``saturation_pressure_pa``.

    Raises OutOfRange.

    Source: definition of relative humidity.
    """
    return saturation_pressure_pa(temp_c) * _humidity(relative_humidity_fraction)


def humidity_ratio(
    temp_c: ArrayLike, relative_humidity_fraction: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Floats:
    """How much water goes with each gram of dry air? [g/g, a ratio]

    ``pressure_pa``: 30 to 200 kPa (``altitude.air_pressure_pa``); other ranges as ``vapour_pressure_pa``.

    Raises OutOfRange, also where there would be more vapour than pressure.

    Source: ASHRAE Fundamentals (2017), chapter 1, equation 20.

    >>> round(float(humidity_ratio(25.0, 1.0)), 4)
    0.0201
    """
    return _ratio_of(vapour_pressure_pa(temp_c, relative_humidity_fraction), _pressure(pressure_pa))


def enthalpy_j_per_g(
    temp_c: ArrayLike, relative_humidity_fraction: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Floats:
    """How much heat does this air hold, against dry air and water at 0 °C? [J per g of dry air]

    Raises OutOfRange as ``humidity_ratio``.

    Source: ASHRAE Fundamentals (2017), chapter 1, equation 30.

    >>> round(float(enthalpy_j_per_g(20.0, 1.0)), 1)
    57.4
    """
    temp = _temps(temp_c)
    water = humidity_ratio(temp, relative_humidity_fraction, pressure_pa)
    return DRY_AIR_J_PER_G_K * temp + water * (VAPOUR_AT_ZERO_J_PER_G + VAPOUR_J_PER_G_K * temp)


def dew_point_c(temp_c: ArrayLike, relative_humidity_fraction: ArrayLike) -> Floats:
    """Below which temperature does this air wet a surface? [°C] (below 0 °C: frost)

    Ranges as ``vapour_pressure_pa``; air so dry that its dew point lies below -60 °C is refused.

    Raises OutOfRange.

    Source: ``saturation_pressure_pa``, solved for the temperature.

    >>> round(float(dew_point_c(35.0, 0.80)), 2)
    31.02
    """
    import numpy as np

    wanted = np.log(vapour_pressure_pa(temp_c, relative_humidity_fraction))
    if bool((wanted < _log_pressure(np.asarray(_COLDEST_C))).any()):
        raise OutOfRange(f"the air is so dry that its dew point lies below {_COLDEST_C:g} °C: give a higher humidity")
    low, high = np.full(wanted.shape, _COLDEST_C), np.broadcast_to(_temps(temp_c), wanted.shape)
    return _bisected(lambda t: _log_pressure(t) - wanted, low, high)


def relative_humidity_fraction(temp_c: ArrayLike, dew_point_c: ArrayLike) -> Floats:
    """How damp is air of this temperature and dew point? [fraction of what it could hold]

    Raises OutOfRange, also for a dew point above the temperature.

    Source: definition of relative humidity.
    """
    found = saturation_pressure_pa(dew_point_c) / saturation_pressure_pa(temp_c)
    if bool((found > 1.0 + 1e-12).any()):
        raise OutOfRange("a dew point cannot lie above the temperature of the air: one of the two was read wrongly")
    return found


def wet_bulb_c(
    temp_c: ArrayLike, relative_humidity_fraction: ArrayLike, pressure_pa: ArrayLike = SEA_LEVEL_PA
) -> Floats:
    """How cold does a wet surface get in a draught of this air, if nothing else warms it? [°C]

    Ranges as ``humidity_ratio``, dew point as ``dew_point_c``. A bare dough settles a little above it.

    Raises OutOfRange.

    Source: ASHRAE Fundamentals (2017), chapter 1, equations 33 and 35 (below 0 °C over ice).

    >>> round(float(wet_bulb_c(7.0, 0.61, 100_000.0)), 2)
    3.93
    """
    import numpy as np

    temp, pressure = np.broadcast_arrays(_temps(temp_c), _pressure(pressure_pa))
    water = humidity_ratio(temp, relative_humidity_fraction, pressure)
    temp, pressure = np.broadcast_to(temp, water.shape), np.broadcast_to(pressure, water.shape)

    def too_wet(bulb_c: Floats) -> Floats:
        wet = _ratio_of(np.exp(_log_pressure(bulb_c)), pressure)
        over_ice = bulb_c < 0.0
        latent = np.where(over_ice, 2830.0 - 0.24 * bulb_c, VAPOUR_AT_ZERO_J_PER_G - 2.326 * bulb_c)
        liquid = np.where(over_ice, 2830.0 - 2.1 * bulb_c, VAPOUR_AT_ZERO_J_PER_G - 4.186 * bulb_c)
        held: Floats = (latent * wet - DRY_AIR_J_PER_G_K * (temp - bulb_c)) / (liquid + VAPOUR_J_PER_G_K * temp)
        return held - water

    return _bisected(too_wet, np.full(water.shape, _COLDEST_C), temp)


def evaporation_heat_j_per_g(temp_c: ArrayLike) -> Floats:
    """How much heat does a gram of water take to evaporate at this temperature? [J/g]

    ``temp_c``: 0 to 110 °C.

    Raises OutOfRange.

    Source: straight line through the steam tables (IAPWS), 2501 - 2.361 t; within 0.4 % up to 100 °C.
    """
    return VAPOUR_AT_ZERO_J_PER_G - 2.361 * checked_all(temp_c, "the temperature", 0.0, 110.0, "°C")


def _temps(temp_c: ArrayLike) -> Floats:
    return checked_all(temp_c, "the temperature of the air", _COLDEST_C, _HOTTEST_C, "°C")


def _humidity(relative_humidity_fraction: ArrayLike) -> Floats:
    return checked_all(relative_humidity_fraction, "the relative humidity", _DRIEST, 1.0, "(80 % is 0.8)")


def _pressure(pressure_pa: ArrayLike) -> Floats:
    return checked_all(pressure_pa, "the pressure of the air", _LEAST_PA, _MOST_PA, "Pa")


def _ratio_of(vapour_pa: Floats, pressure_pa: Floats) -> Floats:
    if bool((vapour_pa >= pressure_pa).any()):
        raise OutOfRange("vapour alone would have more than the pressure of the air: it is too hot for that humidity")
    return WATER_PER_AIR_RATIO * vapour_pa / (pressure_pa - vapour_pa)


def _log_pressure(temp_c: Floats) -> Floats:
    """Natural logarithm of the saturation pressure in Pa."""
    import numpy as np

    kelvin = np.asarray(temp_c) + ZERO_C_K

    def series(c: tuple[float, ...]) -> Floats:
        polynomial = c[1] + kelvin * (c[2] + kelvin * (c[3] + kelvin * (c[4] + kelvin * c[5])))
        found: Floats = c[0] / kelvin + polynomial + c[6] * np.log(kelvin)
        return found

    return np.where(np.asarray(temp_c) <= TRIPLE_POINT_C, series(_OVER_ICE), series(_OVER_WATER))


def _bisected(rising: Callable[[Floats], Floats], low_c: Floats, high_c: Floats) -> Floats:
    """Where a rising function of temperature is zero, to a millionth of a kelvin."""
    import numpy as np

    for _ in range(30):
        middle = (low_c + high_c) / 2.0
        above = rising(middle) > 0.0
        low_c, high_c = np.where(above, low_c, middle), np.where(above, middle, high_c)
    return (low_c + high_c) / 2.0
