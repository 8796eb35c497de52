"""How fast a dough follows the temperature of its place."""

from __future__ import annotations

from smallhours.bakery.formula.document import Place
from smallhours.forecast.assumed import ASSUMED, Assumed
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, Size
from smallhours.science import warming

CRUMB_W_PER_M_K, _LOAF_W_PER_M2_K, _EVAPORATION = 0.12, 13.0, 0.75


def time_constant_s(size: Size, place: Place, moving_air: bool = False, assumed: Assumed = ASSUMED) -> float:
    """How long until a dough has gone 63 % of the way to the temperature of its place? [s]

    Raises: OutOfRange for a size that is not positive. Source: ``science.warming``, surface heat transfer as assumed.
    """
    return warming.time_constant_s(
        size.shape,
        size.radius_mm,
        DENSITY_G_PER_MM3 * 1e6,
        assumed.specific_heat_j_per_g_k,
        assumed.conductivity_w_per_m_k,
        assumed.surface_w_per_m2_k(place, moving_air),
    )


def loaf_time_constant_s(size: Size, rise: float, assumed: Assumed = ASSUMED) -> float:
    """The same for what came out of the oven: ``size`` of its dough, ``rise`` its volume over that of the dough. [s]

    Crumb conducts badly; a loaf in the room loses about a quarter faster than by conduction, by evaporating.
    Raises: OutOfRange for a size or rise that is not positive. Source: ``science.warming``; its figures are judgements.
    """
    loaf = size.risen(rise)
    density = DENSITY_G_PER_MM3 * 1e6 / rise
    heat = assumed.specific_heat_j_per_g_k
    conduction_s = warming.time_constant_s(loaf.shape, loaf.radius_mm, density, heat, CRUMB_W_PER_M_K, _LOAF_W_PER_M2_K)
    return _EVAPORATION * conduction_s
