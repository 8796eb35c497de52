"""How long an ensemble's night of fermentation takes, against one parameter set after the other in plain functions.

``PYTHONPATH=src python bench/fermentation.py``: 500 parameter draws, 300 times, each draw with its own temperatures.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from smallhours.reference import fermentation as tables
from smallhours.reference.defaults import cardinal_temperatures
from smallhours.science.dough_gas import DoughGas
from smallhours.science.fermentation import CardinalTemperatures, PathPoint, equivalent_time_s
from smallhours.science.fermentation_path import Yeast, dose_for_gas_percent, equivalent_times_s, rises_along_ratios
from smallhours.science.yeast_activity import YeastCurves

DRAWS, TIMES, RUNS, ALONE = 500, 300, 7, 10


def best_ms(work: Callable[[], object]) -> float:
    """The shortest of some runs, in milliseconds; the first is not counted."""
    work()
    spent = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        work()
        spent.append(time.perf_counter() - begun)
    return 1000.0 * min(spent)


def main() -> None:
    """Print the table."""
    rng = np.random.default_rng(1)
    times = np.linspace(0.0, 16 * 3600.0, TIMES)
    temps = 4.0 + 20.0 * np.exp(-times / (6000.0 * np.exp(0.15 * rng.standard_normal((DRAWS, 1)))))
    slopes = np.minimum(0.0285 * np.exp(0.8 * rng.standard_normal(DRAWS)), 0.19)
    curves = YeastCurves(-2.0, 36.0, 50.0, 30.0, slopes)
    growth, reference_c = tables.yeast_growth()
    growing = YeastCurves.plain(cardinal_temperatures("bakers-yeast-growth"))
    gas = 1e-5 * np.exp(0.3 * rng.standard_normal(DRAWS))
    plain = Yeast(curves, 1.0, gas, 2.0, 0.85)
    grows = Yeast(curves, 1.0, gas, 2.0, 0.85, growth, growing, reference_c)
    dough, co2 = DoughGas(0.45, 0.80, 0.08, 3.6, 6.0), tables.carbon_dioxide()
    shares = np.full(8, 1 / 8)
    shelled = temps[:, :, None] + np.linspace(-1.0, 1.0, 8)
    points = [PathPoint(float(t), float(c)) for t, c in zip(times, temps[0], strict=True)]
    cardinal = CardinalTemperatures(-2.0, 36.0, 50.0)
    wanted = np.full(DRAWS, 0.02)
    alone = best_ms(lambda: [equivalent_time_s(points, 24.0, cardinal) for _ in range(ALONE)]) * DRAWS / ALONE
    together = best_ms(lambda: equivalent_times_s(times, temps, 24.0, curves))
    rows = [
        ("equivalent times, one draw after the other", alone),
        ("equivalent times, all draws at once", together),
        ("rises", best_ms(lambda: rises_along_ratios(times, temps, plain, dough, co2))),
        ("rises, one path for all draws", best_ms(lambda: rises_along_ratios(times, temps[0], plain, dough, co2))),
        ("rises, yeast multiplies", best_ms(lambda: rises_along_ratios(times, temps, grows, dough, co2))),
        ("rises, eight shells", best_ms(lambda: rises_along_ratios(times, shelled, plain, dough, co2, shares))),
        ("doses for a gas", best_ms(lambda: dose_for_gas_percent(times, temps, wanted, plain))),
        ("doses for a gas, yeast multiplies", best_ms(lambda: dose_for_gas_percent(times, temps, wanted, grows))),
    ]
    for name, spent in rows:
        sys.stdout.write(f"{name:<44}{spent:9.1f} ms\n")
    sys.stdout.write(f"at once is {alone / together:.0f} times as fast\n")


if __name__ == "__main__":
    main()
