"""What a bake takes away and what it costs: water lost, what is left to sell, heat for a kilo and for a full oven."""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.science.ranges import checked_all, checked_all_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

LATENT_AT_BOILING_J_PER_G = 2257.0
"""Heat that evaporates a gram of water at 100 °C [J/g]; IAPWS steam tables (2256.4 at 99.97 °C)."""
_MOST_LOST = 0.6


def bake_heat_j_per_g(
    specific_heat_j_per_g_k: ArrayLike,
    start_c: ArrayLike,
    core_c: ArrayLike,
    lost_fraction: ArrayLike,
    latent_j_per_g: ArrayLike = LATENT_AT_BOILING_J_PER_G,
) -> Floats:
    """How much heat goes into a gram of dough while it bakes? [J/g of raw dough, the same as kJ/kg]

    ``lost_fraction``: water evaporated, of raw mass. The dough alone: an oven uses 2 to 4 times as much (from memory).

    Raises OutOfRange for a core that is colder than the start, a loss outside 0 to 0.6.

    Source: warming + evaporation; what the crust holds above boiling is left out (4 % in ``evaporation_front``).

    >>> round(float(bake_heat_j_per_g(2.8, 25.0, 93.0, 0.10)))
    416
    """
    import numpy as np

    heat = checked_all_positive(specific_heat_j_per_g_k, "the specific heat", "J/(g K)")
    start = checked_all(start_c, "the temperature going in", -20.0, 60.0, "°C")
    core = checked_all(core_c, "the core temperature", 0.0, 105.0, "°C")
    warming = checked_all(np.subtract(core, start), "the core less the start", 0.0, 125.0, "K")
    lost = checked_all(lost_fraction, "the water lost", 0.0, _MOST_LOST, "of the raw mass")
    found: Floats = heat * warming + lost * checked_all_positive(latent_j_per_g, "the heat of evaporation", "J/g")
    return found


def shortest_load_s(
    dough_g: ArrayLike, heat_j_per_g: ArrayLike, heating_w: ArrayLike, into_dough_fraction: ArrayLike
) -> Floats:
    """How long does an oven need at least to bring its load this much heat? [s]

    ``heating_w``: of elements or burner. ``into_dough_fraction``: what of it ends up in the dough. A full oven bakes no
    faster than this, whatever the core would need; heat stored in stone comes on top.

    Raises OutOfRange for a value that is not positive or a share above 1.

    Source: conservation of energy.

    >>> round(float(shortest_load_s(20_000.0, 416.0, 12_000.0, 0.5)) / 60)
    23
    """
    dough = checked_all_positive(dough_g, "the dough in the oven", "g")
    heat = checked_all_positive(heat_j_per_g, "the heat for a gram", "J/g")
    share = checked_all(into_dough_fraction, "the share of heat that ends in the dough", 1e-3, 1.0, "")
    found: Floats = dough * heat / (checked_all_positive(heating_w, "the heating", "W") * share)
    return found


def scaled_loss_fraction(
    logged_loss_fraction: ArrayLike,
    time_ratio: ArrayLike,
    surface_per_mass_ratio: ArrayLike = 1.0,
    time_exponent_number: ArrayLike = 1.0,
) -> Floats:
    """How much of its mass will a piece lose, if the logged bake lost so much? [fraction of raw mass]

    ``time_ratio``: bake time over the logged one; ``surface_per_mass_ratio`` likewise. ``time_exponent_number``: 0.5
    once a thick crust hinders the vapour, 1 for a steady loss, 1.8 while the surface is still getting hot.

    Raises OutOfRange for a ratio outside 0.3 to 3, an exponent outside 0 to 2.5 or a loss outside 0 to 0.6.

    Source: vapour leaves through the surface; exponent 0.5 from a front of evaporation (Stefan), 1.8 between minutes 9
    and 13 of a published bake (Zhang et al. 2005). Expected error: 2 points (judgement). For another size the trade's
    own losses by kind are the better guide: larger loaves are baked cooler.

    >>> round(float(scaled_loss_fraction(0.12, 1.1)), 3)
    0.132
    """
    logged = checked_all(logged_loss_fraction, "the logged loss", 0.0, _MOST_LOST, "of the raw mass")
    longer = checked_all(time_ratio, "the ratio of times", 0.3, 3.0, "")
    surface = checked_all(surface_per_mass_ratio, "the ratio of surface to mass", 0.3, 3.0, "")
    exponent = checked_all(time_exponent_number, "the exponent of time", 0.0, 2.5, "")
    return checked_all(logged * surface * longer**exponent, "the loss", 0.0, _MOST_LOST, "of the raw mass")


def kept_fraction(*lost_fraction: ArrayLike) -> Floats:
    """What is left after losses one after the other, each a share of what came in [fraction].

    Raises OutOfRange for a loss outside 0 to 0.6, BadInput for none.

    Source: shares multiply. Mixing, dividing, proofing, baking, cooling. A bake-out loss in the trade's sense already
    counts cooling: do not count it twice.

    >>> round(float(kept_fraction(0.01, 0.01, 0.12)), 4)
    0.8625
    """
    import numpy as np

    if not lost_fraction:
        raise BadInput("give at least one loss")
    kept: Floats = np.ones(())
    for lost in lost_fraction:
        kept = kept * (1.0 - checked_all(lost, "a loss", 0.0, _MOST_LOST, "of the mass"))
    return kept


def needed_g(sold_g: ArrayLike, *lost_fraction: ArrayLike) -> Floats:
    """How much has to be weighed so that this much is left after the losses? [g]

    Raises OutOfRange for a mass that is not positive or a loss outside 0 to 0.6, BadInput for no loss.

    Source: ``kept_fraction``, the other way round.

    >>> round(float(needed_g(2700.0, 0.01, 0.01)), 1)
    2754.8
    """
    found: Floats = checked_all_positive(sold_g, "the mass to sell", "g") / kept_fraction(*lost_fraction)
    return found
