"""Doughs standing in air, many at once, layer by layer: how warm they become and how much gas their yeast makes.

The only place where a forecast touches the physics of heat and yeast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from smallhours.errors import BadInput
from smallhours.reference.fermentation import cold_curve
from smallhours.science.heat_path.layers import Layers
from smallhours.science.yeast_activity import CultureCurves, YeastCurves, activity_fractions, unchecked_fractions

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# 50 kJ per mol of CO2 at 1 l per kg and hour: what a lively dough at 28 °C warms itself, if no heat leaves
OWN_HEAT_K_PER_S, _OWN_HEAT_AT_C = 0.73 / 3600.0, 28.0


@dataclass(frozen=True, eq=False)
class Stood:
    """What became of the doughs at each time.

    ``mean_c``: mean temperature; ``gas_s``: gas made in all layers together, in s at yeast's fastest; both (times,
    doughs). ``amounts_c``: the modes of ``layers``, (times, modes, doughs). ``air_c``: (times, doughs) or (times, 1).
    ``own_heat_k_per_s``: the most that each warms itself.
    """

    times_s: Floats
    mean_c: Floats
    gas_s: Floats
    layers: Layers
    amounts_c: Floats
    air_c: Floats
    own_heat_k_per_s: Floats

    def at(self, t_s: float) -> tuple[Floats, Floats]:
        """Mean temperature and gas of every dough at a time."""
        return self.between(self.mean_c, t_s), self.between(self.gas_s, t_s)

    def layers_c(self, t_s: float) -> Floats:
        """The temperature of every layer at a time, (layers, doughs)."""
        return self.layers.in_layers(self.between(self.amounts_c, t_s))

    def core_and_skin_c(self, t_s: float) -> tuple[Floats, Floats]:
        """Core and skin of every dough at a time.

        No core is warmer than the warmest layer or air was and what it can warm itself since, nor colder than the
        coldest: at first the layers are too few to have that of themselves.
        """
        import numpy as np

        core, skin = self.layers.core_and_skin_c(self.layers_c(t_s), self.between(self.air_c, t_s))
        first = self.layers_c(0.0)
        air = self.air_c[: int(np.searchsorted(self.times_s, t_s)) + 1]
        coldest = np.minimum(first.min(axis=0), air.min(axis=0))
        warmest = np.maximum(first.max(axis=0), air.max(axis=0)) + self.own_heat_k_per_s * t_s
        return np.clip(core, coldest, warmest), skin

    def between(self, rows: Floats, t_s: float) -> Floats:
        """The rows (times, ...) of something at a time: ``at_time``."""
        return at_time(self.times_s, rows, t_s)


def stand(
    times_s: Floats,
    start_c: Floats,
    air_c: Floats,
    layers: Layers,
    curves: YeastCurves | CultureCurves | None = None,
    own_heat: Floats | None = None,
) -> Stood:
    """Doughs put into air: their temperature and the gas they make.

    Parameters: ``times_s`` (times,), rising from 0; ``start_c`` (layers, doughs), or (doughs,) where all layers are
    alike; ``air_c`` (times, doughs) or (times, 1); ``curves``: of the yeast, numbers or (doughs,), None where nothing
    lives; ``own_heat`` (doughs,): how much more or less than usual they warm themselves.
    Raises: BadInput for times that do not rise.
    Source: conduction in ``science.heat_path.layers``, exact over each step of time for the air's mean over it and the
    yeast's heat at its begin, layer by layer; gas by ``made_until`` over ``activity_fractions`` of every layer.
    """
    import numpy as np

    steps = np.diff(times_s)
    if times_s.size < 2 or not (steps > 0).all():
        raise BadInput("the times of a dough standing must rise")
    middle = (air_c[1:] + air_c[:-1]) / 2
    shape = (layers.weights_fraction.size, layers.rates_per_s.shape[1])
    amounts = np.empty((times_s.size, *shape))
    amounts[0] = layers.in_modes(np.broadcast_to(start_c, shape))
    rates = np.zeros((times_s.size, shape[1]))
    per_activity = OWN_HEAT_K_PER_S / activity_fractions(_OWN_HEAT_AT_C, cold_curve())
    heat_k_per_s = per_activity * (np.ones(shape[1]) if own_heat is None else own_heat) * (curves is not None)
    left, left_s = layers.left_fraction(steps[0]), steps[0]
    for n, step_s in enumerate(steps.tolist()):
        heat = None
        if curves is not None:
            active = unchecked_fractions(layers.in_layers(amounts[n]), curves)  # the last are checked: they follow
            rates[n] = layers.weights_fraction @ active
            heat = layers.in_modes(active) * heat_k_per_s
        if abs(step_s - left_s) > 1e-9 * left_s:
            left, left_s = layers.left_fraction(step_s), step_s
        amounts[n + 1] = layers.stepped(amounts[n], left, middle[n], heat)
    if curves is not None:
        rates[-1] = layers.weights_fraction @ activity_fractions(layers.in_layers(amounts[-1]), curves)
    return Stood(times_s, layers.mean_c(amounts), made_until(times_s, rates), layers, amounts, air_c, heat_k_per_s)


def made_until(times_s: Floats, rates: Floats) -> Floats:
    """What was made until each of the times at rates (times, doughs) that change smoothly.

    Source: trapezoid rule with its end correction h^2/12 (f'(a) - f'(b)), Euler-Maclaurin; slopes by differences.
    """
    import numpy as np

    steps = np.diff(times_s)[:, None]
    order: Literal[1, 2] = 2 if times_s.size > 2 else 1
    slopes = np.gradient(rates, times_s, axis=0, edge_order=order)
    parts = steps / 2 * (rates[:-1] + rates[1:]) + steps**2 / 12 * (slopes[:-1] - slopes[1:])
    made = np.zeros_like(rates)
    np.cumsum(np.maximum(parts, 0.0), axis=0, out=made[1:])
    return made


def at_time(times_s: Floats, rows: Floats, t_s: float) -> Floats:
    """The values (...) of rows (times, ...) at a time: on a parabola through the rows on both sides and the next.

    Before the first time and after the last it is their row. Source: Newton's divided differences.
    """
    import numpy as np

    after = int(np.clip(np.searchsorted(times_s, t_s), 1, times_s.size - 1))
    step_s = times_s[after] - times_s[after - 1]
    share = min(max((t_s - times_s[after - 1]) / step_s, 0.0), 1.0)
    change = rows[after] - rows[after - 1]
    found: Floats = rows[after - 1] + share * change
    if times_s.size > 2 and 0.0 < share < 1.0:
        third = after + 1 if after + 1 < times_s.size else after - 2
        to_third_s = times_s[third] - times_s[after]
        bend = ((rows[third] - rows[after]) / to_third_s - change / step_s) / (to_third_s + step_s)
        found -= share * (1.0 - share) * step_s**2 * bend
    return found


def reached_s(times_s: Floats, rising: Floats, wanted: Floats) -> Floats:
    """When each rising row of values (times, doughs) reaches what is wanted (doughs,); infinite if it never does.

    Source: the parabola of ``at_time``, by one step of Newton from the straight line.
    """
    import numpy as np

    index = np.maximum(np.argmax(rising >= wanted, axis=0), 1)
    columns = np.arange(rising.shape[1])
    upper, lower = rising[index, columns], rising[index - 1, columns]
    steps_s = times_s[index] - times_s[index - 1]
    change = np.where(upper > lower, upper - lower, 1.0)
    share = np.clip((wanted - lower) / change, 0.0, 1.0)
    if times_s.size > 2:
        third = np.where(index + 1 < times_s.size, index + 1, index - 2)
        to_third_s = times_s[third] - times_s[index]
        bend = ((rising[third, columns] - upper) / to_third_s - (upper - lower) / steps_s) / (to_third_s + steps_s)
        bend *= steps_s**2
        slope = np.maximum(change - bend * (1.0 - 2.0 * share), change / 4.0)
        share = np.clip(share + bend * share * (1.0 - share) / slope, 0.0, 1.0)
    never: Floats = np.where(rising[-1] >= wanted, times_s[index - 1] + share * steps_s, np.inf)
    return never
