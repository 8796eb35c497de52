"""What yeast does along the temperatures a dough really sees, for many parameter draws and for the inside of a piece.

Shapes: ``times_s`` is (times,). ``temps_c`` ends in the times: (times,) or (draws, times); or in times and shells where
``shells=True``: (times, shells) or (draws, times, shells). Parameters are numbers or (draws,). Results are (times,) or
(draws, times), with the shells' axis kept where nothing says that it is averaged. Between times rates are taken to
change evenly (trapezoid rule): 300 steps over a night are within 0.1 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.dough_gas import (
    DissolvedGas,
    DoughGas,
    bubble_volumes_ml_per_g,
    held_ml_per_g,
    mean_over_shells,
    rise_ratios,
)
from smallhours.science.fermentation import GAS_CONSTANT_J_PER_MOL_K
from smallhours.science.ranges import checked, checked_all
from smallhours.science.yeast_activity import YeastCurves, activity_fractions, unchecked_fractions
from smallhours.science.yeast_growth import (
    LEAST_DOSE_PERCENT,
    MOST_DOSE_PERCENT,
    YeastGrowth,
    checked_dose,
    growth_ratios,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_COLDEST_C, _HOTTEST_C = -40.0, 120.0
_HALVINGS = 34  # of the logarithm of the dose: to 1e-9


@dataclass(frozen=True, eq=False)
class Yeast:
    """The yeast of a dough and how it works; parameters are numbers or arrays (draws,).

    ``dose_percent``: fresh yeast in % of flour. ``gas_mmol_per_g_s``: what a dough with ``reference_dose_percent``
    makes per gram of dough at yeast's fastest, sugar and salt already counted. ``growth``: None where it does not
    multiply (straight doughs of a few hours), else with ``growth_curves``, whose activity is 1 per second of growth at
    ``growth_reference_c``.
    """

    curves: YeastCurves
    dose_percent: ArrayLike
    gas_mmol_per_g_s: ArrayLike
    reference_dose_percent: float = 2.0
    dose_exponent_ratio: ArrayLike = 1.0
    growth: YeastGrowth | None = None
    growth_curves: YeastCurves | None = None
    growth_reference_c: float = 27.0

    def __post_init__(self) -> None:
        checked_dose(self.dose_percent)
        checked_dose(self.reference_dose_percent)
        checked_all(self.gas_mmol_per_g_s, "the rate of gas", 0.0, 1e-3, "mmol per g of dough and second")
        checked_all(self.dose_exponent_ratio, "the exponent of the dose", 0.4, 1.2, "")
        if (self.growth is None) != (self.growth_curves is None):
            raise BadInput("yeast that multiplies needs both its growth and the curve of its growth over temperature")


def checked_times(times_s: ArrayLike) -> Floats:
    """The times of a path [s] as an array (times,), refused unless there are two or more and they rise.

    Raises BadInput. Source: none but the caller's.
    """
    import numpy as np

    times = np.asarray(times_s, dtype=np.float64)
    if times.ndim != 1 or times.size < 2:
        raise BadInput(f"a path of temperatures needs two or more times in a row (found {times.shape})")
    if not np.isfinite(times).all():
        raise BadInput(f"each time of a path must be a number of seconds (found {times[~np.isfinite(times)][0]:g})")
    backwards = np.flatnonzero(np.diff(times) <= 0.0)
    if backwards.size:
        at = int(backwards[0])
        raise BadInput(f"times of a path must rise (found {times[at + 1]:g} s after {times[at]:g} s)")
    return times


def checked_path(times_s: ArrayLike, temps_c: ArrayLike, shells: bool = False) -> tuple[Floats, Floats]:
    """Times [s] and temperatures [°C] as arrays, refused where they do not fit, have a gap, or leave -40 to 120 °C.

    Raises BadInput, OutOfRange. Source: none but the caller's.
    """
    import numpy as np

    times, temps = checked_times(times_s), np.asarray(temps_c, dtype=np.float64)
    axis = -2 if shells else -1
    if temps.ndim < -axis or temps.shape[axis] != times.size:
        raise BadInput(f"a path needs a temperature at each of its {times.size} times (found {temps.shape})")
    missing = np.isnan(temps)
    if missing.any():
        at = int(np.argwhere(missing)[0][axis])
        raise BadInput(f"the path has a gap: no temperature was given at {times[at]:g} s")
    checked_all(temps, "a temperature of the path", _COLDEST_C, _HOTTEST_C, "°C")
    return times, temps


def integrals_s(times_s: ArrayLike, rates_ratio: ArrayLike, shells: bool = False) -> Floats:
    """The integral of rates from the first time to each time [s x the unit of the rates].

    ``rates_ratio`` ends in the times, or in times and shells. The first value is 0.

    Raises BadInput for times that do not rise.

    Source: trapezoid rule.
    """
    import numpy as np

    times, rates = checked_times(times_s), np.asarray(rates_ratio, dtype=np.float64)
    found: Floats = np.zeros_like(rates)
    halves = np.diff(times) / 2.0
    if shells:
        np.cumsum((rates[..., 1:, :] + rates[..., :-1, :]) * halves[:, None], axis=-2, out=found[..., 1:, :])
    else:
        np.cumsum((rates[..., 1:] + rates[..., :-1]) * halves, axis=-1, out=found[..., 1:])
    return found


def equivalent_times_s(times_s: ArrayLike, temps_c: ArrayLike, reference_c: float, curves: YeastCurves) -> Floats:
    """How long at the reference makes the gas that yeast has made along the path by each time? [s; (draws, times)]

    Raises BadInput, OutOfRange for a path that cannot be used, or a reference at which yeast does not work.

    Source: integral of activity over activity at the reference; yeast neither grows nor starves.
    """
    times, temps = checked_path(times_s, temps_c)
    wide = curves.widened(1)
    at_reference = activity_fractions(reference_c, wide)
    if not (at_reference > 0.0).all():
        raise OutOfRange(f"yeast does not work at the reference of {reference_c:g} °C")
    found: Floats = integrals_s(times, unchecked_fractions(temps, wide) / at_reference)
    return found


def growth_times_s(
    times_s: ArrayLike, temps_c: ArrayLike, reference_c: float, growth_curves: YeastCurves, shells: bool = False
) -> Floats:
    """How long at the reference would yeast have multiplied for what it did by each time? [s; (draws, times[, shells])]

    Raises BadInput, OutOfRange for a path that cannot be used or a reference at which nothing grows.

    Source: integral of the relative growth rate (cardinal model of growth, not of gas).
    """
    times, temps = checked_path(times_s, temps_c, shells)
    wide = growth_curves.widened(2 if shells else 1)
    at_reference = activity_fractions(reference_c, wide)
    if not (at_reference > 0.0).all():
        raise OutOfRange(f"yeast does not grow at the reference of {reference_c:g} °C")
    found: Floats = integrals_s(times, unchecked_fractions(temps, wide) / at_reference, shells)
    return found


def gas_made_mmol_per_g(times_s: ArrayLike, temps_c: ArrayLike, yeast: Yeast, shells: bool = False) -> Floats:
    """How much gas has yeast made by each time? [mmol per g of dough; (draws, times[, shells])]

    Raises BadInput, OutOfRange for a path that cannot be used.

    Source: rate = gas at the reference dose x (yeast there / reference dose)^exponent x activity, integrated; yeast
    there is the dose, multiplied by ``growth_ratios`` where it grows.
    """
    times, temps = checked_path(times_s, temps_c, shells)
    activity, grown = _along(times, temps, yeast, shells)
    return integrals_s(times, _rates(yeast, activity, grown, 2 if shells else 1), shells)


def heats_along_w_per_kg(times_s: ArrayLike, temps_c: ArrayLike, yeast: Yeast, heat_kj_per_mol: float) -> Floats:
    """How much heat does yeast make in the dough at each time? [W/kg; (times,) or (draws, times)]

    ``heat_kj_per_mol``: for each mol of gas, 50.

    Raises BadInput, OutOfRange for a path that cannot be used, or a heat outside 10 to 500 kJ/mol.

    Source: rate of gas (mmol per g is mol per kg) x heat of reaction, as ``dough_gas.fermentation_heat_w_per_kg``.
    """
    heat = checked(heat_kj_per_mol, "the heat of fermentation", 10.0, 500.0, "kJ/mol")
    times, temps = checked_path(times_s, temps_c)
    activity, grown = _along(times, temps, yeast, False)
    return _rates(yeast, activity, grown, 1) * (heat * 1000.0)


def rises_along_ratios(
    times_s: ArrayLike,
    temps_c: ArrayLike,
    yeast: Yeast,
    dough: DoughGas,
    gas: DissolvedGas,
    shell_fraction: ArrayLike | None = None,
    made_before_mmol_per_g: ArrayLike = 0.0,
) -> Floats:
    """How many times its volume after mixing is the dough at each time? [ratio; (times,) or (draws, times)]

    ``shell_fraction``: for temperatures inside a piece (.., times, shells), each shell's share of its mass; None for
    one temperature. ``dough``'s values are numbers or (draws, 1). ``made_before_mmol_per_g``: gas that the dough
    brought, from earlier stages or dissolved in a preferment; it broadcasts against the gas made.

    Raises BadInput, OutOfRange for a path that cannot be used, amounts no dough makes, temperatures beyond -5 to 70 °C.

    Source: ``gas_made_mmol_per_g``, then for each shell ``bubble_volumes_ml_per_g``, their mean, ``held_ml_per_g``.
    """
    import numpy as np

    shells = shell_fraction is not None
    made = gas_made_mmol_per_g(times_s, temps_c, yeast, shells) + np.asarray(made_before_mmol_per_g, dtype=np.float64)
    temps = np.asarray(temps_c, dtype=np.float64)
    start_c = temps[..., :1, :] if shells else temps[..., :1]
    inside = _with_shells(dough) if shells else dough
    volumes = bubble_volumes_ml_per_g(made, temps, inside, gas, start_c)
    if shell_fraction is not None:
        volumes = mean_over_shells(volumes, shell_fraction)
    return rise_ratios(held_ml_per_g(volumes, dough), dough)


def times_to_s(times_s: ArrayLike, along_ratio: ArrayLike, wanted_ratio: ArrayLike) -> Floats:
    """When does what rises along the path (rise, gas, equivalent time) first reach what is wanted? [s; (draws,)]

    Counted from the path's first time; infinite where it does not get there on the path. ``wanted_ratio``: a number or
    (draws,), in the unit of ``along_ratio``, which is (times,) or (draws, times).

    Raises BadInput for times that do not rise, OutOfRange for NaN in what is wanted.

    Source: straight line between the times before and after.
    """
    import numpy as np

    times, values = checked_times(times_s), np.atleast_2d(np.asarray(along_ratio, dtype=np.float64))
    wanted = np.atleast_1d(checked_all(wanted_ratio, "what is wanted along a path", -1e12, 1e12, ""))
    values, wanted = np.broadcast_arrays(values, wanted[:, None])
    target = wanted[:, 0]
    reached = values >= wanted
    after = np.where(reached.any(axis=1), reached.argmax(axis=1), times.size - 1)
    before = np.maximum(after - 1, 0)
    row = np.arange(values.shape[0])
    low, high = values[row, before], values[row, after]
    share = np.divide(target - low, high - low, out=np.ones_like(low), where=high > low)
    found: Floats = times[before] + np.clip(share, 0.0, 1.0) * (times[after] - times[before]) - times[0]
    return np.where(reached.any(axis=1), np.where(after == 0, 0.0, found), np.inf)


def dose_for_gas_percent(times_s: ArrayLike, temps_c: ArrayLike, wanted_mmol_per_g: ArrayLike, yeast: Yeast) -> Floats:
    """How much yeast makes this gas by the end of this path? [% of flour; (draws,)]

    What is wanted is mostly the gas of the baker's own dose along her own path: ``gas_made_mmol_per_g`` at its end. So
    this answers: ready at five instead of at three, or in a colder room, with how much less or more?  The answer lies
    between 0.001 and 20 %; NaN where no dose between them does it. ``yeast.dose_percent`` is not used.

    Raises BadInput, OutOfRange for a path that cannot be used or gas that is not positive.

    Source: ``gas_made_mmol_per_g``, solved for the dose by halving; more yeast never makes less gas.
    """
    from dataclasses import replace

    import numpy as np

    wanted = np.atleast_1d(checked_all(wanted_mmol_per_g, "the gas that is wanted", 1e-9, 2.0, "mmol per g of dough"))
    times, temps = checked_path(times_s, temps_c)
    activity, grown = _along(times, temps, yeast, False)

    def _short(log_dose: Floats) -> NDArray[np.bool_]:
        tried = replace(yeast, dose_percent=np.clip(np.exp(log_dose), LEAST_DOSE_PERCENT, MOST_DOSE_PERCENT))
        rates = _rates(tried, activity, grown, 1)
        amounts = (rates[..., 1:] + rates[..., :-1]) @ (np.diff(times) / 2.0)
        lacking: NDArray[np.bool_] = amounts < wanted
        return lacking

    if grown is None:
        unit = integrals_s(times, _rates(replace(yeast, dose_percent=yeast.reference_dose_percent), activity, None, 1))
        with np.errstate(divide="ignore"):
            power = 1.0 / np.asarray(yeast.dose_exponent_ratio, dtype=np.float64)
            doses = yeast.reference_dose_percent * np.power(wanted / unit[..., -1], power)
        return np.where((doses >= LEAST_DOSE_PERCENT) & (doses <= MOST_DOSE_PERCENT), doses, np.nan)
    count = np.broadcast_shapes(wanted.shape, _rates(yeast, activity, grown, 1).shape[:-1])
    low, high = np.full(count, np.log(LEAST_DOSE_PERCENT)), np.full(count, np.log(MOST_DOSE_PERCENT))
    outside = _short(high) | ~_short(low)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        lacking = _short(middle)
        low, high = np.where(lacking, middle, low), np.where(lacking, high, middle)
    return np.where(outside, np.nan, np.exp((low + high) / 2.0))


def gas_rate_mmol_per_g_s(
    yeast_per_dough_fraction: ArrayLike,
    gas_ml_per_g_h: ArrayLike,
    measured_c: float,
    curves: YeastCurves,
    osmotic_factor: ArrayLike = 1.0,
) -> Floats:
    """How much gas does a dough make at yeast's fastest? [mmol per g of dough and second; broadcasts, (draws,)]

    ``yeast_per_dough_fraction``: grams of fresh yeast in a gram of dough. ``gas_ml_per_g_h``: what a gram of it makes
    in an hour in a lean dough at ``measured_c``, at sea level. ``osmotic_factor``: what sugar and salt leave of it.

    Raises OutOfRange for shares outside 0 to 0.2, rates outside 1 to 1000 ml/(g h), factors outside 0 to 3, or a
    temperature at which yeast does not work.

    Source: proportion, and the ideal gas law.

    >>> plain = YeastCurves(2.0, 36.0, 50.0)
    >>> rate = gas_rate_mmol_per_g_s(0.0118, 85.0, 30.0, plain) * activity_fractions(30.0, plain)
    >>> round(float(rate) * 3600 * 24.88, 2)  # litres at 30 °C for each kilogram of dough and hour
    1.0
    """
    yeast = checked_all(yeast_per_dough_fraction, "the yeast in a dough", 0.0, 0.2, "of its mass")
    rate = checked_all(gas_ml_per_g_h, "the gas that yeast makes", 1.0, 1000.0, "ml per g and hour")
    left = checked_all(osmotic_factor, "what sugar and salt leave of yeast's speed", 0.0, 3.0, "")
    activity = activity_fractions(measured_c, curves)
    if not (activity > 0.0).all():
        raise OutOfRange(f"yeast does not work at the {measured_c:g} °C at which its gas is said to be measured")
    kelvin = checked(measured_c, "the temperature of a gas measurement", -5.0, 70.0, "°C") + 273.15
    mmol_per_ml = 101_325.0 / (GAS_CONSTANT_J_PER_MOL_K * kelvin) * 1e-3
    found: Floats = yeast * rate * left * mmol_per_ml / 3600.0 / activity
    return found


def _along(times: Floats, temps: Floats, yeast: Yeast, shells: bool) -> tuple[Floats, Floats | None]:
    """Activity at each time, and how long yeast has multiplied by then (s at its reference; None where it does not)."""
    axes = 2 if shells else 1
    activity = unchecked_fractions(temps, yeast.curves.widened(axes))
    if yeast.growth is None or yeast.growth_curves is None:
        return activity, None
    return activity, growth_times_s(times, temps, yeast.growth_reference_c, yeast.growth_curves, shells)


def _rates(yeast: Yeast, activity: Floats, grown: Floats | None, axes_count: int) -> Floats:
    """Gas for each gram and second at each time."""
    doses, exponents, most = (
        _widened(value, axes_count) for value in (yeast.dose_percent, yeast.dose_exponent_ratio, yeast.gas_mmol_per_g_s)
    )
    rates: Floats = activity * (most * (doses / yeast.reference_dose_percent) ** exponents)
    if grown is not None and yeast.growth is not None:
        rates = rates * growth_ratios(grown, doses, yeast.growth.widened(axes_count)) ** exponents
    return rates


def _widened(value: ArrayLike, axes_count: int) -> Floats:
    import numpy as np

    array = np.asarray(value, dtype=np.float64)
    return array.reshape(array.shape + (1,) * axes_count) if array.ndim else array


def _with_shells(dough: DoughGas) -> DoughGas:
    from dataclasses import replace

    return replace(
        dough,
        water_fraction=_widened(dough.water_fraction, 1),
        solid_ml_per_g=_widened(dough.solid_ml_per_g, 1),
        air_fraction=_widened(dough.air_fraction, 1),
    )
