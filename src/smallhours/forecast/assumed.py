"""What a forecast assumes until this kitchen's own log says better: priors, each with where it comes from.

Everything marked a judgement has no measurement of this kind of kitchen behind it; it only sets where learning starts
and how wide the intervals are.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache

from smallhours.bakery.formula.document import Place
from smallhours.bakery.formula.leaven import Leaven
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.reference.fermentation import cold_curve, culture_curve
from smallhours.science.yeast_activity import CultureCurves, YeastCurves

_SURFACE: dict[Place, str] = {"fridge": "fridge-still", "freezer": "freezer", "proofer": "proofer"}


@dataclass(frozen=True)
class Assumed:
    """The numbers a forecast rests on.

    ``yeast``: where it works, with its cold slope: the same curve as the ensemble's middle. As a set it is a judgement,
    and known to be too fast in the cold: against published proof times in boxes from 13 to 57 °C (Freilich 1949) it
    falls short by a factor of 1.2 to 2.6.
    ``ferment_log_sd``: an 80 % interval of about +-30 % before anything is learned (judgement). ``slope_sd``: the
    temperature slope is known to 30 % (judgement). ``trusted_from_c``, ``cold_log_sd_per_k``: below it published sets
    scatter ever more, up to a factor of five between them at 4 °C. ``chill_log_sd``: +-20 % in time (judgement).
    ``bake_log_sd``: +-10 % in time with a logged bake (judgement). ``loss_sd``: +-1.5 points of bake loss (judgement).
    """

    yeast: YeastCurves | CultureCurves = field(default_factory=cold_curve)
    ferment_log_sd: float = 0.20
    slope_sd: float = 0.30
    trusted_from_c: float = 18.0
    cold_log_sd_per_k: float = 0.05
    chill_log_sd: float = 0.15
    bake_log_sd: float = 0.078
    loss_sd: float = 1.17
    # culture with one percent of a dough's flour does what so much fresh yeast does (percent of flour): with 20 % of it
    # a dough doubles in 5 h at 25 °C (table cultures), and about so with 0.5 % fresh yeast
    culture_as_fresh_yeast: float = 0.025
    # of dough below 60 °C: Choi & Okos (1986) gives 2.5 (rich) to 2.8 J/(g K) (lean); conductivity falls with gas
    specific_heat_j_per_g_k: float = 2.8
    conductivity_w_per_m_k: float = 0.40
    # a door lets in warm air, which a fridge takes some minutes to cool again (judgement)
    door_recovery_s: float = 300.0

    def surface_w_per_m2_k(self, place: Place, moving_air: bool = False) -> float:
        """Heat transfer at the surface of a dough in a place, air and radiation together, W/(m2 K)."""
        return _surface_w_per_m2_k("fridge-fan" if moving_air else _SURFACE.get(place, "room"))

    def yeast_fraction(self, leaven: Leaven) -> float:
        """Yeast's share of the gas of a dough, where a culture works beside it; 0 where nothing does."""
        both = leaven.yeast_percent + leaven.culture_percent * self.culture_as_fresh_yeast
        return leaven.yeast_percent / both if both > 0.0 else 0.0


def assumed_of(leaven: Leaven) -> Assumed:
    """The same numbers for a dough that this raises: with a culture's curve where there is one."""
    if leaven.culture_percent <= 0.0:
        return ASSUMED
    return _with_culture(round(ASSUMED.yeast_fraction(leaven), 3))


@cache
def _with_culture(share: float) -> Assumed:
    usual = culture_curve()
    if share <= 0.0:
        return Assumed(yeast=usual)
    return Assumed(yeast=replace(usual, yeast=cold_curve(), yeast_fraction=share))


@cache
def _surface_w_per_m2_k(key: str) -> float:
    return heat_transfer_w_per_m2_k(key).usual


ASSUMED = Assumed()
