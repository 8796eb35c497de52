"""How well heat passes between a surface and its place: air, radiation, and what lies between.

In a bakery these figures are never measured; tables of places (``reference``) hold usual values with a range. The
correlations here say how they move with size, air speed, a wrap, a board or a full rack. Arrays in, arrays out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

from smallhours.errors import BadInput
from smallhours.science.ranges import checked, checked_all, checked_all_positive, checked_not_negative, checked_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

Body = Literal["sphere", "cylinder", "plate", "underside"]
"""``cylinder``: lying; ``plate``: the top of a warmer, or the underside of a colder, level plate; ``underside``: the
other way round, where the air stands still."""
STEFAN_BOLTZMANN_W_PER_M2_K4 = 5.670374419e-8
"""Stefan-Boltzmann constant; exact by the 2019 definition of the SI units, to ten digits."""
GRAVITY_M_PER_S2 = 9.80665
_ZERO_K = 273.15
_PRANDTL = 0.71
_COLDEST_C, _HOTTEST_C = -40.0, 350.0
_FEW_RAYLEIGH = 1e7


def through_layers_w_per_m2_k(
    heat_transfer_w_per_m2_k: ArrayLike, layer_mm: Sequence[float], conductivity_w_per_m_k: Sequence[float]
) -> Floats:
    """Heat transfer at a surface with layers in front of it: a tray, board, cloth, lid and the air below it [W/(m² K)].

    ``layer_mm`` with ``conductivity_w_per_m_k``: about 0.026 for still air of up to a centimetre, 0.15 wood, 16
    stainless steel, 200 aluminium (handbook values). Heat that runs sideways along a tray is left out.

    Raises OutOfRange for negative numbers, BadInput for lists of different length.

    Source: resistances in series.

    >>> round(float(through_layers_w_per_m2_k(9.0, [20.0], [0.15])), 2)  # on a board of 20 mm
    4.09
    """
    import numpy as np

    if len(layer_mm) != len(conductivity_w_per_m_k):
        raise BadInput(f"each layer needs its conductivity (found {len(layer_mm)} and {len(conductivity_w_per_m_k)})")
    transfer = checked_all(heat_transfer_w_per_m2_k, "the heat transfer", 0.0, 20_000.0, "W/(m² K)")
    resistance = sum(
        checked_not_negative(thick, "a layer", "mm") / 1000.0 / checked_positive(inner, "its conductivity", "W/(m K)")
        for thick, inner in zip(layer_mm, conductivity_w_per_m_k, strict=True)
    )
    found: Floats = np.asarray(transfer / (1.0 + transfer * resistance))
    return found


def radiation_w_per_m2_k(
    surface_c: ArrayLike, walls_c: ArrayLike, emissivity_fraction: float = 0.9, seen_fraction: ArrayLike = 1.0
) -> Floats:
    """Heat transfer by radiation between a surface and the walls it sees [W/(m² K)].

    ``seen_fraction``: share of what it sees that is wall; in a full rack most is the next tray, as cold as itself.

    Raises OutOfRange for temperatures outside -40 to 350 °C or fractions outside 0 to 1.

    Source: Stefan-Boltzmann, linearised: e s (T1² + T2²) (T1 + T2); emissivity of dough and bread about 0.9 (handbook).

    >>> round(float(radiation_w_per_m2_k(20.0, 4.0)), 1)
    4.7
    """
    one, other = _kelvin(surface_c, "the surface"), _kelvin(walls_c, "the walls")
    share = checked(emissivity_fraction, "the emissivity", 0.0, 1.0, "") * checked_all(
        seen_fraction, "the share of walls seen", 0.0, 1.0, ""
    )
    found: Floats = share * STEFAN_BOLTZMANN_W_PER_M2_K4 * (one**2 + other**2) * (one + other)
    return found


def still_air_w_per_m2_k(body: Body, length_mm: ArrayLike, surface_c: ArrayLike, air_c: ArrayLike) -> Floats:
    """Heat transfer by air that moves only because it is warmed or cooled [W/(m² K)].

    ``length_mm``: the diameter; of a plate its area over its perimeter.

    Raises OutOfRange for temperatures outside -40 to 350 °C or a length not positive, BadInput for another body.

    Source: sphere Churchill (1983); lying cylinder Churchill & Chu (1975); plates McAdams (1954), underside Radziemska
    & Lewandowski (2001), all as in Incropera et al., Fundamentals of Heat and Mass Transfer, ch. 9. About ±20 %.

    >>> round(float(still_air_w_per_m2_k("sphere", 80.0, 20.0, 4.0)), 1)
    5.1
    """
    import numpy as np

    length = checked_all_positive(length_mm, "the length", "mm") / 1000.0
    one, other = _kelvin(surface_c, "the surface"), _kelvin(air_c, "the air")
    film = (one + other) / 2.0
    inner, thickness = _air(film)
    rayleigh = GRAVITY_M_PER_S2 / film * np.abs(one - other) * length**3 * _PRANDTL / thickness**2
    nusselt: Floats
    if body == "sphere":
        nusselt = 2.0 + 0.589 * rayleigh**0.25 / (1.0 + (0.469 / _PRANDTL) ** (9 / 16)) ** (4 / 9)
    elif body == "cylinder":
        nusselt = (0.60 + 0.387 * rayleigh ** (1 / 6) / (1.0 + (0.559 / _PRANDTL) ** (9 / 16)) ** (8 / 27)) ** 2
    elif body == "plate":
        nusselt = np.where(rayleigh < _FEW_RAYLEIGH, 0.54 * rayleigh**0.25, 0.15 * rayleigh ** (1 / 3))
    elif body == "underside":
        nusselt = 0.52 * rayleigh**0.2
    else:
        raise BadInput(f"a body must be sphere, cylinder, plate or underside (found {body!r})")
    return nusselt * inner / length


def moving_air_w_per_m2_k(
    body: Body, length_mm: ArrayLike, speed_m_per_s: ArrayLike, surface_c: ArrayLike, air_c: ArrayLike
) -> Floats:
    """Heat transfer by air that a fan moves [W/(m² K)].

    ``length_mm``: the diameter; of a plate its length along the air.

    Raises OutOfRange for a speed outside 0 to 20 m/s, else as ``still_air_w_per_m2_k``.

    Source: sphere Whitaker (1972), without its small correction for viscosity at the surface; cylinder Churchill &
    Bernstein (1977); plate Pohlhausen, laminar: as in Incropera et al., ch. 7. About ±20 %; draughts in a rack differ
    more from place to place.

    >>> round(float(moving_air_w_per_m2_k("plate", 300.0, 1.0, 20.0, 4.0)), 1)
    7.2
    """
    length = checked_all_positive(length_mm, "the length", "mm") / 1000.0
    film = (_kelvin(surface_c, "the surface") + _kelvin(air_c, "the air")) / 2.0
    inner, thickness = _air(film)
    reynolds = checked_all(speed_m_per_s, "the air speed", 0.0, 20.0, "m/s") * length / thickness
    nusselt: Floats
    if body == "sphere":
        nusselt = 2.0 + (0.4 * reynolds**0.5 + 0.06 * reynolds ** (2 / 3)) * _PRANDTL**0.4
    elif body == "cylinder":
        slow = 0.62 * reynolds**0.5 * _PRANDTL ** (1 / 3) / (1.0 + (0.4 / _PRANDTL) ** (2 / 3)) ** 0.25
        nusselt = 0.3 + slow * (1.0 + (reynolds / 282_000.0) ** (5 / 8)) ** (4 / 5)
    elif body in ("plate", "underside"):
        nusselt = 0.664 * reynolds**0.5 * _PRANDTL ** (1 / 3)
    else:
        raise BadInput(f"a body must be sphere, cylinder, plate or underside (found {body!r})")
    return nusselt * inner / length


def _kelvin(temp_c: ArrayLike, what: str) -> Floats:
    return checked_all(temp_c, f"the temperature of {what}", _COLDEST_C, _HOTTEST_C, "°C") + _ZERO_K


def _air(kelvin: Floats) -> tuple[Floats, Floats]:
    """Conductivity [W/(m K)] and kinematic viscosity [m²/s] of dry air at sea level: Sutherland, ideal gas."""
    viscosity = 1.716e-5 * (kelvin / 273.15) ** 1.5 * (273.15 + 110.4) / (kelvin + 110.4)
    conductivity = 0.0241 * (kelvin / 273.15) ** 1.5 * (273.15 + 194.0) / (kelvin + 194.0)
    return conductivity, viscosity * 287.05 * kelvin / 101_325.0
