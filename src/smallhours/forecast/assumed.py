"""What a forecast assumes until this kitchen's own log says better: priors, each with where it comes from.

Everything marked a judgement has no measurement of this kind of kitchen behind it; it only sets where learning starts
and how wide the intervals are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from smallhours.bakery.formula.document import Place
from smallhours.science.fermentation import CardinalTemperatures

# Surface heat transfer, air and radiation together, W/(m2 K). Judgements from the correlations for natural and forced
# convection round bodies of this size: still fridge 4-10, fan 8-25, room 6-12, proofer 7-15 (12 reproduces a published
# warming of loaves by 6 to 9 K in 55 to 65 min at 40 to 46 °C).
STILL_COLD_W, MOVING_COLD_W = 8.0, 16.0
_SURFACE_W: Mapping[Place, float] = {"fridge": STILL_COLD_W, "freezer": STILL_COLD_W, "proofer": 12.0}
ROOM_W = 9.0


@dataclass(frozen=True)
class Assumed:
    """The numbers a forecast rests on.

    ``cardinal``: where yeast works: minimum inside the published 1.3 to 4.3 °C (Salvadó et al. 2011), optimum at the
    low end of the published 36 to 39 °C for gassing; a judgement as a set. It is known to be too fast in the cold:
    against published proof times from 13 to 57 °C (Freilich 1949) such sets fall short by a factor of 1.6 to 3.2.
    ``ferment_log_sd``: an 80 % interval of about +-30 % before anything is learned (judgement). ``slope_sd``: the
    temperature slope is known to 30 % (judgement). ``trusted_from_c``, ``cold_log_sd_per_k``: below it published sets
    scatter ever more, up to a factor of five between them at 4 °C. ``chill_log_sd``: +-20 % in time (judgement).
    """

    cardinal: CardinalTemperatures = field(default_factory=lambda: CardinalTemperatures(2.0, 36.0, 50.0))
    ferment_log_sd: float = 0.20
    slope_sd: float = 0.30
    trusted_from_c: float = 18.0
    cold_log_sd_per_k: float = 0.05
    chill_log_sd: float = 0.15
    # of dough below 60 °C: Choi & Okos (1986) gives 2.5 (rich) to 2.8 J/(g K) (lean); conductivity falls with gas
    specific_heat_j_per_g_k: float = 2.8
    conductivity_w_per_m_k: float = 0.40

    def surface_w_per_m2_k(self, place: Place, moving_air: bool = False) -> float:
        """Heat transfer at the surface of a dough in a place, W/(m2 K)."""
        return MOVING_COLD_W if moving_air else _SURFACE_W.get(place, ROOM_W)


ASSUMED = Assumed()
