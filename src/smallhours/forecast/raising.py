"""What raises a dough in a forecast: its curve over temperature, its speed, and that it multiplies.

* Baker's yeast in a dough is taken as it was put in: in a few hours it hardly multiplies, and what it does falls out of
  the ratio to the reference nearly whole.
* Baker's yeast in a preferment multiplies (``science.yeast_growth``): there a little of it is given a long time.
* A culture multiplies all the time (``science.sourdough``): its gas goes with what has newly grown.

Both happen here and as the formula means it, side by side, so that under its own conditions its own time comes out.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from smallhours.bakery.formula.leaven import Leaven
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.parameters import Parameters
from smallhours.forecast.stand import Stood
from smallhours.reference.defaults import cardinal_temperatures
from smallhours.reference.fermentation import culture, culture_curve, culture_growth, yeast_growth
from smallhours.science.yeast_activity import (
    CultureCurves,
    YeastCurves,
    activity_fractions,
    interpolated_fractions,
    unchecked_fractions,
)
from smallhours.science.yeast_growth import LEAST_DOSE_PERCENT, MOST_DOSE_PERCENT, growth_ratios

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_MOST_DOUBLINGS = 30.0  # nothing is looked at for longer


class Raising:
    """What raises one dough, for every member, here and behind it as the formula means it.

    ``ripens``: it is a preferment; ``slowed``: how much slower other sugar and salt make it here; ``fed_ratio``: how
    many times its own culture or yeast it is fed with here.

    ``speed``: how many times as fast as meant it works here, (members + nudges,); ``dose_ratio``: how many times the
    yeast is put in; ``grown``: how far it has multiplied
    since the dough was mixed (of a culture in s at its fastest, of yeast in s at the temperature of its parameters),
    (2 x (members + nudges),); ``curves``: None where nothing lives.
    """

    def __init__(
        self,
        leaven: Leaven,
        parameters: Parameters,
        ripens: bool,
        slowed: Floats | float = 1.0,
        fed_ratio: float = 1.0,
    ) -> None:
        import numpy as np

        self.leaven, self.parameters, self.ripens = leaven, parameters, ripens
        self.grown: Floats = np.zeros(2 * parameters.count)
        self.dose_ratio: Floats = parameters.dose_ratio * fed_ratio
        self._culture_ratio: Floats = fed_ratio * parameters.nudged("yeast", 1.0, 1.1)
        self.speed: Floats = parameters.drawn("vigour") * slowed
        if leaven.culture_percent <= 0.0:
            self.speed = self.speed * self._dose_factor
        self.curves = self._curves()

    @property
    def _dose_factor(self) -> Floats:
        """How much faster yeast is for what was put in."""
        factor: Floats = self.dose_ratio ** self.parameters.drawn("dose")
        return factor

    @property
    def living(self) -> bool:
        """Whether anything raises it."""
        return self.leaven.living

    @property
    def yeast_fraction(self) -> float:
        """Yeast's share of the gas, where a culture works beside it."""
        return ASSUMED.yeast_fraction(self.leaven)

    def gas_s(self, stood: Stood, grown: Floats | None = None) -> tuple[Floats, Floats]:
        """Gas made until each time, in s at the fastest of what was put in, and how far it has multiplied by then.

        Both (times, 2 x (members + nudges)); ``grown``: how far it had before (as far as it has now).
        """
        count, gas = self.parameters.count, stood.gas_s.copy()
        gas[:, :count] *= self.speed
        before = self.grown if grown is None else grown
        if self.leaven.culture_percent > 0.0:
            return self._grown_culture(gas, before), before + gas
        if self.ripens and self.living:
            return self._grown_yeast(stood, gas, before)
        return gas, gas * 0.0

    def _grown_culture(self, gas: Floats, before: Floats) -> Floats:
        """A culture's gas, as much as has newly grown, and that of the yeast beside it."""
        import numpy as np

        count, share, per_s = self.parameters.count, self.yeast_fraction, math.log(2.0) / self.doubling_s
        made: Floats = np.exp(before * per_s) * np.expm1(np.minimum(gas * per_s, _MOST_DOUBLINGS)) / per_s
        made[:, :count] *= self._culture_ratio
        if share > 0.0:
            made *= 1.0 - share
            made += share * gas * np.concatenate((self._dose_factor, np.ones(count)))
        return made

    @property
    def doubling_s(self) -> Floats:
        """How long a culture takes to double at its fastest temperature, here and behind it as meant."""
        import numpy as np

        usual = culture("sourdough-dough")
        at_fastest = usual.doubling_s * float(interpolated_fractions(usual.reference_c, usual.growth))
        drawn = at_fastest * self.parameters.drawn("culture_doubling")
        return np.concatenate((drawn, drawn))

    def _grown_yeast(self, stood: Stood, gas: Floats, before: Floats) -> tuple[Floats, Floats]:
        """Yeast's gas with the yeast that has multiplied by then."""
        import numpy as np

        growth, at_c = yeast_growth()
        curve = YeastCurves.plain(cardinal_temperatures("bakers-yeast-growth"))
        rates = unchecked_fractions(stood.mean_c, curve) / activity_fractions(at_c, curve)
        steps = np.diff(stood.times_s)[:, None]
        grown = before + np.concatenate((rates[:1] * 0.0, np.cumsum((rates[1:] + rates[:-1]) / 2 * steps, axis=0)))
        count = self.parameters.count
        dose = np.full(2 * count, self.leaven.yeast_percent)
        dose[:count] *= self.dose_ratio
        power = np.tile(self.parameters.drawn("dose"), 2)
        ratios = growth_ratios(grown, np.clip(dose, LEAST_DOSE_PERCENT, MOST_DOSE_PERCENT), growth) ** power
        made = np.zeros_like(gas)
        np.cumsum(np.diff(gas, axis=0) * (ratios[1:] + ratios[:-1]) / 2, axis=0, out=made[1:])
        return made, grown

    def _curves(self) -> YeastCurves | CultureCurves | None:
        import numpy as np

        if not self.living:
            return None
        if self.leaven.culture_percent <= 0.0:
            return self.parameters.curves
        usual, slope = culture_curve(), self.parameters.drawn("culture_cold")
        low = self.parameters.drawn("yeast_min")
        return CultureCurves(
            culture_growth("yeast"),
            np.concatenate((slope, slope)),
            usual.cold_pivot_c,
            np.concatenate((low, low)),
            self.parameters.curves if self.leaven.yeast_percent > 0.0 else None,
            self.yeast_fraction,
        )
