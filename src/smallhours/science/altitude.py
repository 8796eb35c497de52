"""What height above the sea changes: air pressure, the boiling point crumb cannot pass, the size of bubbles."""

from __future__ import annotations

import math

from smallhours.science.ranges import checked

SEA_LEVEL_PA = 101_325.0
"""Standard air pressure at sea level [Pa]; ISO 2533."""
# IAPWS-IF97 (2007), equation 31 and table 34: saturation temperature from pressure
_N = (
    1167.0521452767,
    -724213.16703206,
    -17.073846940092,
    12020.824702470,
    -3232555.0322333,
    14.915108613530,
    -4823.2657361591,
    405113.40542057,
    -0.23855557567849,
    650.17534844798,
)


def air_pressure_pa(altitude_m: float) -> float:
    """How high is the air pressure on an average day? [Pa]

    Raises OutOfRange for a height outside -500 to 5000 m. Weather moves it by about 3 %.

    Source: standard atmosphere, ISO 2533 (as in ASHRAE Fundamentals 2017, chapter 1): 101325 (1 - 2.25577e-5 z)^5.2559.

    >>> round(air_pressure_pa(1000.0))
    89875
    """
    checked(altitude_m, "the height above the sea", -500.0, 5000.0, "m")
    return SEA_LEVEL_PA * float((1.0 - 2.25577e-5 * altitude_m) ** 5.2559)


def boiling_c(pressure_pa: float) -> float:
    """At what temperature does water boil at this pressure? [°C]

    Raises OutOfRange for a pressure outside 30 to 200 kPa.

    Source: IAPWS-IF97 (2007), equation 31, saturation temperature; exact to 0.01 K.

    >>> round(boiling_c(101_325.0), 2)
    99.97
    """
    beta = math.sqrt(math.sqrt(checked(pressure_pa, "the pressure", 30_000.0, 200_000.0, "Pa") / 1e6))
    e = beta * beta + _N[2] * beta + _N[5]
    f = _N[0] * beta * beta + _N[3] * beta + _N[6]
    g = _N[1] * beta * beta + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    return (_N[9] + d - math.sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d))) / 2.0 - 273.15


def boiling_at_altitude_c(altitude_m: float) -> float:
    """At what temperature does water boil at this height on an average day? [°C]

    Raises OutOfRange for a height outside -500 to 5000 m. Weather moves it by about 0.8 K.

    Source: ``air_pressure_pa`` and ``boiling_c``.

    >>> round(boiling_at_altitude_c(2000.0), 1)
    93.3
    """
    return boiling_c(air_pressure_pa(altitude_m))


def gas_volume_ratio(altitude_m: float) -> float:
    """How much larger than at sea level is the same gas, at the same temperature? [ratio]

    Raises OutOfRange for a height outside -500 to 5000 m.

    Source: ideal gas law: volume is inverse to pressure.

    >>> round(gas_volume_ratio(1524.0), 2)
    1.2
    """
    return SEA_LEVEL_PA / air_pressure_pa(altitude_m)
