"""Doughs standing in air, many at once: how warm they become and how much gas their yeast makes.

The only place where a forecast touches the physics of heat and yeast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.reference.fermentation import cold_curve
from smallhours.science.yeast_activity import YeastCurves, activity_fractions, unchecked_fractions

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# 50 kJ per mol of CO2 at 1 l per kg and hour: what a lively dough at 28 °C warms itself, if no heat leaves
OWN_HEAT_K_PER_S, _OWN_HEAT_AT_C = 0.73 / 3600.0, 28.0


@dataclass(frozen=True, eq=False)
class Stood:
    """What became of the doughs at each time: mean temperature (°C) and gas (s at yeast's fastest), (times, doughs)."""

    times_s: Floats
    mean_c: Floats
    gas_s: Floats

    def at(self, t_s: float) -> tuple[Floats, Floats]:
        """Mean temperature and gas of every dough at a time; straight between the times."""
        import numpy as np

        after = int(np.clip(np.searchsorted(self.times_s, t_s), 1, self.times_s.size - 1))
        t0, t1 = self.times_s[after - 1], self.times_s[after]
        share = min(max((t_s - t0) / (t1 - t0), 0.0), 1.0)
        mean, gas = (rows[after - 1] + share * (rows[after] - rows[after - 1]) for rows in (self.mean_c, self.gas_s))
        return mean, gas


def stand(
    times_s: Floats,
    start_c: Floats,
    air_c: Floats,
    tau_s: Floats,
    curves: YeastCurves | None = None,
    own_heat: Floats | None = None,
) -> Stood:
    """Doughs put into air: their mean temperature and the gas they make.

    Parameters: ``times_s`` (times,), rising from 0; ``start_c``, ``tau_s`` (doughs,); ``air_c`` (times, doughs) or
    (times, 1); ``curves``: of the yeast, numbers or (doughs,), None where nothing lives; ``own_heat`` (doughs,): how
    much more or less than usual they warm themselves.
    Raises: BadInput for times that do not rise.
    Source: mean-temperature equation of ``science.warming``, exact over each step of time for the air's and yeast's
    mean over it; gas by the trapezoid rule over ``activity_fractions``.
    """
    import numpy as np

    steps = np.diff(times_s)
    if times_s.size < 2 or not (steps > 0).all():
        raise BadInput("the times of a dough standing must rise")
    kept = np.exp(-steps[:, None] / tau_s)
    middle = (air_c[1:] + air_c[:-1]) / 2
    temps = np.empty((times_s.size, start_c.size))
    temps[0] = start_c
    if curves is None:
        for n in range(steps.size):
            temps[n + 1] = middle[n] + (temps[n] - middle[n]) * kept[n]
        return Stood(times_s, temps, np.zeros_like(temps))
    per_activity = OWN_HEAT_K_PER_S / activity_fractions(_OWN_HEAT_AT_C, cold_curve()) * tau_s
    if own_heat is not None:
        per_activity = per_activity * own_heat
    rates = np.empty_like(temps)
    for n in range(steps.size):
        rates[n] = unchecked_fractions(temps[n], curves)  # the last row is checked: it follows from all before it
        settles = middle[n] + per_activity * rates[n]
        temps[n + 1] = settles + (temps[n] - settles) * kept[n]
    rates[-1] = activity_fractions(temps[-1], curves)
    gas = np.zeros_like(temps)
    np.cumsum((rates[1:] + rates[:-1]) / 2 * steps[:, None], axis=0, out=gas[1:])
    return Stood(times_s, temps, gas)


def reached_s(times_s: Floats, rising: Floats, wanted: Floats) -> Floats:
    """When each rising row of values (times, doughs) reaches what is wanted (doughs,); infinite if it never does."""
    import numpy as np

    index = np.argmax(rising >= wanted, axis=0)
    columns = np.arange(rising.shape[1])
    upper = rising[index, columns]
    before = np.maximum(index - 1, 0)
    lower = rising[before, columns]
    wide = np.where(upper > lower, upper - lower, 1.0)
    share = np.where(index > 0, (wanted - lower) / wide, 0.0)
    found = times_s[before] + share * (times_s[index] - times_s[before])
    never: Floats = np.where(rising[-1] >= wanted, found, np.inf)
    return never
