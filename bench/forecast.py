"""How fast is one formula forecast, whole, with all its draws?

Run: ``PYTHONPATH=src python bench/forecast.py [--members 500] [--repeat 9] [--json FILE]``

Every formula of the demo bakery under tonight's conditions, warm: the median of so many runs against a stated limit,
with the ratio of the two. In the same run, as peer, the same draws one after another: each member's forecast alone, in
batches of twenty (the fewest that are drawn), times how often they fit. Exit code 1 if the limit is missed.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time
from collections.abc import Callable

from night import Bakery, demo
from smallhours.bakery.formula.document import Formula
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import FEWEST, draw
from smallhours.forecast.formula_forecast import forecast_formula

FORECAST_LIMIT_S = 0.1  # a page follows a slider that is moved by hand
ROOM_C = 17.0


def median_s(work: Callable[[], object], repeat: int) -> float:
    """The median time of some work in seconds, after it was done once."""
    work()
    times = []
    for _ in range(repeat):
        before = time.perf_counter()
        work()
        times.append(time.perf_counter() - before)
    return statistics.median(times)


def forecast_s(bakery: Bakery, formula: Formula, members: int, repeat: int) -> float:
    """How long one forecast takes, in seconds."""
    conditions, drawn = Conditions(bakery.kitchen, room_c=ROOM_C), draw(members)
    return median_s(lambda: forecast_formula(formula, bakery.pantry, conditions, drawn), repeat)


def main() -> int:
    """Measure and print; 1 if a limit is missed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--members", type=int, default=500)
    parser.add_argument("--repeat", type=int, default=9)
    parser.add_argument("--json", metavar="FILE")
    options = parser.parse_args()
    bakery, rows = demo(), {}
    for slug, formula in bakery.whole.items():
        together = forecast_s(bakery, formula, options.members, options.repeat)
        few = forecast_s(bakery, formula, FEWEST, max(1, options.repeat // 3))
        rows[slug] = {"seconds": together, "limit_ratio": together / FORECAST_LIMIT_S}
        rows[slug]["quicker_than_in_twenties"] = few * options.members / FEWEST / together
        print(
            f"{slug:14} {together * 1000:6.1f} ms   {rows[slug]['limit_ratio']:5.2f} of the limit   "
            f"{rows[slug]['quicker_than_in_twenties']:5.1f} times as fast as in twenties"
        )
    worst = max(row["limit_ratio"] for row in rows.values())
    print(f"slowest: {worst:.2f} of the limit of {FORECAST_LIMIT_S * 1000:.0f} ms with {options.members} members")
    if options.json:
        with open(options.json, "w", encoding="utf-8") as file:
            json.dump(rows, file, indent=2)
    return 0 if worst <= 1.0 else 1


if __name__ == "__main__":
    sys.exit(main())
