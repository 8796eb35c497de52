"""The draws of an ensemble as the arrays a forecast reckons with, and a few more members with one input nudged.

The last axis is always that of the members: first the ensemble's own, then one for each of ``NUDGES``, in which every
parameter has its middle and one input is a little different. They cost almost nothing, carry no weight and say which
input moves a result most.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Place
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.ensemble import Ensemble, priors
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, Shape, Size
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.reference.fermentation import cold_curve
from smallhours.science.conduction import left_fraction, mean_left_fraction
from smallhours.science.yeast_activity import YeastCurves

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

COLD: tuple[Place, ...] = ("fridge", "freezer")
_Z80 = 1.2815515655446004
_SURFACE: dict[Place, str] = {"fridge": "fridge-still", "freezer": "freezer", "proofer": "proofer"}
# resistance inside a piece, and how far its core is from its surface when its mean is 1 away: parabola across it
_BETA = {"slab": 3.0, "cylinder": 4.0, "sphere": 5.0}
_DIMENSIONS = {"slab": 1.0, "cylinder": 2.0, "sphere": 3.0}
_CORE = {"slab": 1.5, "cylinder": 2.0, "sphere": 2.5}
# square of the first root inside a piece through whose surface nothing passes; after so long it has settled
_INSULATED = {"slab": 9.87, "cylinder": 14.68, "sphere": 20.19}
_SETTLED_FOURIER = 1.0


@dataclass(frozen=True)
class Nudge:
    """One input made a little different: ``words`` says by how much."""

    name: str
    words: str


NUDGES: tuple[Nudge, ...] = (
    Nudge("room", "1 °C more in the room"),
    Nudge("fridge", "1 °C more in the fridge"),
    Nudge("dough", "a dough 1 °C warmer off the mixer"),
    Nudge("yeast", "a tenth more yeast"),
    Nudge("mass", "a tenth more mass in a piece"),
)


@dataclass(frozen=True, eq=False)
class Heat:
    """How doughs of one size follow their place.

    ``tau_s``: time constant; ``settled_core``, ``settled_skin``: how much further than the mean core and skin are from
    the place once settled; each (members + nudges,). ``shape``, ``radius_mm``, ``biot``: of the middle member.
    """

    tau_s: Floats
    settled_core: Floats
    settled_skin: Floats
    shape: Shape
    radius_mm: float
    biot: float

    def across(self, after_s: float) -> tuple[Floats, Floats, float]:
        """Core and skin over the mean, each as distance from the place, so long after a uniform dough was put there;
        and what is left of a difference it came with.

        Source: exact series for the middle member (``science.conduction``), other members in proportion to how they
        settle; differences inside die away with the first mode of an insulated piece.
        """
        diffusivity = ASSUMED.conductivity_w_per_m_k / (DENSITY_G_PER_MM3 * 1e6 * ASSUMED.specific_heat_j_per_g_k * 1e3)
        fourier = max(diffusivity * after_s / (self.radius_mm / 1000.0) ** 2, 1e-3)
        left = math.exp(-_INSULATED[self.shape] * fourier)
        if fourier > _SETTLED_FOURIER:
            return self.settled_core, self.settled_skin, left
        mean = float(mean_left_fraction(self.shape, self.biot, fourier))
        core, skin = (float(left_fraction(self.shape, self.biot, fourier, position)) / mean for position in (0.0, 1.0))
        return self.settled_core * core / self.settled_core[0], self.settled_skin * skin / self.settled_skin[0], left


class Parameters:
    """The parameters of every member, each an array of shape (members + nudges,)."""

    def __init__(self, ensemble: Ensemble, dose_ratio: float = 1.0) -> None:
        self.ensemble = ensemble
        self.members = ensemble.members
        self.count = ensemble.members + len(NUDGES)
        self._drawn: dict[str, Floats] = {}
        self._middles = {prior.name: prior.middle for prior in priors()}
        self.speed = self.drawn("vigour") * (dose_ratio * self.nudged("yeast", 1.0, 1.1)) ** self.drawn("dose")
        self.room_k, self.fridge_k, self.dough_k = (self.nudged(name, 0.0, 1.0) for name in ("room", "fridge", "dough"))
        self.mass_ratio = self.nudged("mass", 1.0, 1.1)
        self.chill = self.drawn("chill")

    def drawn(self, name: str) -> Floats:
        """The draws of a prior; its middle for the nudged members."""
        import numpy as np

        if name not in self._drawn:
            middles = np.full(len(NUDGES), self._middles[name])
            self._drawn[name] = np.concatenate((self.ensemble.values(name), middles))
        return self._drawn[name]

    def nudged(self, name: str, usual: float, nudged: float) -> Floats:
        """``usual`` for all members but the one in which this input is nudged."""
        import numpy as np

        found = np.full(self.count, usual)
        found[self.members + [nudge.name for nudge in NUDGES].index(name)] = nudged
        return found

    @cached_property
    def curves(self) -> YeastCurves:
        """Yeast's activity over temperature, for members as they are here and, behind them, as the formula means it."""
        import numpy as np

        usual, low, slope = cold_curve(), self.drawn("yeast_min"), self.drawn("cold_slope")
        return YeastCurves(
            np.concatenate((low, low)),
            usual.optimum_c,
            usual.max_c,
            usual.cold_pivot_c,
            np.concatenate((slope, slope)),
        )

    @cached_property
    def own_heat(self) -> Floats:
        """How much more or less than usual a dough warms itself, here and behind it as meant."""
        import numpy as np

        drawn = self.drawn("own_heat")
        return np.concatenate((drawn, drawn))

    def surface_w_per_m2_k(self, place: Place, moving_air: bool = False) -> Floats:
        """Heat transfer at the surface of a dough in a place, W/(m2 K): the table's usual, low and high as 80 %."""
        import numpy as np

        spread = heat_transfer_w_per_m2_k("fridge-fan" if moving_air else _SURFACE.get(place, "room"))
        sd = float(np.log(spread.high / spread.low)) / (2 * _Z80)
        found: Floats = spread.usual * np.exp(sd * self.drawn("cold_surface" if place in COLD else "room_surface"))
        return found

    def heat(self, size: Size, place: Place, moving_air: bool = False, mass_power: float = 0.0) -> Heat:
        """How doughs of this size follow the temperature of a place; ``mass_power``: how its size follows a
        nudge of its mass (0: not at all).

        Source: ``science.warming.time_constant_s``, here for arrays (tested to be the same).
        """
        radius_m = size.radius_mm / 1000.0 * self.drawn("thickness") * self.mass_ratio**mass_power
        inner = ASSUMED.conductivity_w_per_m_k * self.drawn("conductivity")
        outer = self.surface_w_per_m2_k(place, moving_air)
        beta, biot = _BETA[size.shape], outer * radius_m / inner
        heat = DENSITY_G_PER_MM3 * 1e6 * ASSUMED.specific_heat_j_per_g_k * 1000.0
        tau_s = heat * radius_m / _DIMENSIONS[size.shape] * (1.0 / outer + radius_m / (beta * inner))
        skin = 1.0 / (1.0 + biot / beta)
        core = skin + (1.0 - skin) * _CORE[size.shape]
        return Heat(tau_s, core, skin, size.shape, float(radius_m[0]) * 1000.0, float(biot[0]))
