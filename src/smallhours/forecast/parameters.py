"""The draws of an ensemble as the arrays a forecast reckons with, and a few more members with one input nudged.

The last axis is always that of the members: first the ensemble's own, then one for each of ``NUDGES``, in which every
parameter has its middle and one input is a little different. They cost almost nothing, carry no weight and say which
input moves a result most.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Place
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.ensemble import Ensemble, priors
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, Size
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.reference.fermentation import cold_curve
from smallhours.science.heat_path.layers import Layers, layers_of
from smallhours.science.yeast_activity import YeastCurves

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

COLD: tuple[Place, ...] = ("fridge", "freezer")
_Z80 = 1.2815515655446004
_SURFACE: dict[Place, str] = {"fridge": "fridge-still", "freezer": "freezer", "proofer": "proofer"}


@dataclass(frozen=True)
class Nudge:
    """One input made a little different: ``words`` says by how much."""

    name: str
    words: str


NUDGES: tuple[Nudge, ...] = (
    Nudge("room", "1 °C more in the room"),
    Nudge("fridge", "1 °C more in the fridge"),
    Nudge("dough", "a dough 1 °C warmer off the mixer"),
    Nudge("yeast", "a tenth more yeast or culture"),
    Nudge("mass", "a tenth more mass in a piece"),
)


class Parameters:
    """The parameters of every member, each an array of shape (members + nudges,)."""

    def __init__(self, ensemble: Ensemble, dose_ratio: float = 1.0) -> None:
        self.ensemble = ensemble
        self.members = ensemble.members
        self.count = ensemble.members + len(NUDGES)
        self._drawn: dict[str, Floats] = {}
        self._layers: dict[tuple[Size, Size, Place, bool, float], Layers] = {}
        self._middles = {prior.name: prior.middle for prior in priors()}
        self.dose_ratio = dose_ratio * self.nudged("yeast", 1.0, 1.1)
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

    def layers(
        self, here: Size, meant: Size, place: Place, moving_air: bool = False, mass_power: float = 0.0
    ) -> Layers:
        """How doughs follow the temperature of a place, for members as they are here and, behind them, as meant.

        ``here``, ``meant``: their sizes, of one shape; ``moving_air``: here; ``mass_power``: how its size here follows
        a nudge of its mass (0: not at all).
        Source: ``science.heat_path.layers``.
        """
        import numpy as np

        key = (here, meant, place, moving_air, mass_power)
        if key not in self._layers:
            thick, inner = self.drawn("thickness"), self.drawn("conductivity")
            radii_mm = (here.radius_mm * thick * self.mass_ratio**mass_power, meant.radius_mm * thick)
            surfaces = (self.surface_w_per_m2_k(place, moving_air), self.surface_w_per_m2_k(place))
            self._layers[key] = layers_of(
                here.shape,
                np.concatenate(radii_mm),
                np.concatenate(surfaces),
                DENSITY_G_PER_MM3 * 1e6,
                ASSUMED.specific_heat_j_per_g_k,
                ASSUMED.conductivity_w_per_m_k * np.concatenate((inner, inner)),
            )
        return self._layers[key]
