"""How fast is a plan run through the nights that could be?

Run: ``PYTHONPATH=src python bench/odds.py [--days tue,fri,sat] [--nights 300] [--limit 10] [--repeat 5] [--json FILE]``

For weekdays of the demo bakery: the night is planned (not measured), then its odds are drawn, whole, by both policies
and with what is to blame: the median of so many runs against a stated limit, with the ratio of the two. In the same
run, as peer, the plain Python that the tests hold it against, on a random plan of the tests with as many tasks: one
night after the other by the same written policy, a few nights, times how often they fit; and the same plan's odds at
once. Exit code 1 if the limit is missed.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import statistics
import sys
import time
from pathlib import Path

from night import MONDAY, Bakery, demo
from smallhours.bakery.kitchen.document import DAYS
from smallhours.planning.odds.night_odds import night_odds
from smallhours.planning.odds.spread import Draws, Spread
from smallhours.planning.plan import Plan
from smallhours.planning.shift.plan_night import plan_night

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))
from planning.odds.little_plans import random_plan
from planning.odds.one_night import OneNight

ODDS_LIMIT_S = 0.3  # nobody should notice that it is done after every plan
PLAIN_NIGHTS = 3
RANDOM_BATCHES = 34  # of six stages: as many tasks as a demo night


def planned(bakery: Bakery, day: str, limit_s: float) -> Plan:
    """One weekday's plan."""
    night = MONDAY + dt.timedelta(days=DAYS.index(day))
    return plan_night(
        bakery.formulas, bakery.orders.on(night), bakery.kitchen, bakery.pantry, night,
        made_at=dt.datetime.now(dt.UTC), time_limit_s=limit_s,
    )  # fmt: skip


def odds_s(plan: Plan, nights: int, repeat: int) -> float:
    """The median time of the odds of a plan, after they were drawn once."""
    times = []
    for number in range(repeat + 1):
        began = time.perf_counter()
        night_odds(plan, nights=nights, seed=number)
        times.append(time.perf_counter() - began)
    return statistics.median(times[1:])


def plain_s(plan: Plan, nights: int) -> float:
    """Seconds that so many nights would take one after the other, from a few of them."""
    draws = Draws(PLAIN_NIGHTS, 1, Spread())
    began = time.perf_counter()
    for night in range(PLAIN_NIGHTS):
        needed = {t.id: float(f[night]) for t in plan.tasks if (f := draws.needed(t)) is not None}
        slow = {t.id: float(f[night]) for t in plan.tasks for h in t.hands[:1]
                if (f := draws.slow(h.person, t.id)) is not None}  # fmt: skip
        one = OneNight(plan, needed, slow, wanted=False)
        for task in sorted(plan.tasks, key=lambda task: task.end):
            one.gone(task.id)
    return (time.perf_counter() - began) / PLAIN_NIGHTS * nights


def main() -> int:
    """Measure, print, and say whether the limit holds."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", default="tue,fri,sat")
    parser.add_argument("--nights", type=int, default=300)
    parser.add_argument("--limit", type=float, default=10.0)
    parser.add_argument("--repeat", type=int, default=5)
    parser.add_argument("--json", default="")
    asked = parser.parse_args()
    sys.setrecursionlimit(20_000)  # the plain night asks backwards
    bakery = demo()
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}, Python {sys.version.split()[0]}")
    rows = []
    for day in asked.days.split(","):
        plan = planned(bakery, day, asked.limit)
        taken_s = odds_s(plan, asked.nights, asked.repeat)
        rows.append({"of": day, "tasks": len(plan.tasks), "odds_s": taken_s})
        print(
            f"{day}: {len(plan.tasks)} tasks, {asked.nights} nights in {taken_s:.3f} s, "
            f"{taken_s / ODDS_LIMIT_S:.2f} of the limit; all on time in {night_odds(plan).all_on_time:.0%}"
        )
    peer = random_plan(1, RANDOM_BATCHES)
    at_once_s, plain = odds_s(peer, asked.nights, asked.repeat), plain_s(peer, asked.nights)
    rows.append({"of": "random", "tasks": len(peer.tasks), "odds_s": at_once_s, "plain_s": plain})
    print(
        f"random: {len(peer.tasks)} tasks, {at_once_s:.3f} s; plain Python {plain:.1f} s, {plain / at_once_s:.0f} times"
    )
    if asked.json:
        Path(asked.json).write_text(json.dumps(rows, indent=1), encoding="utf-8")
    slow = [row for row in rows if row["odds_s"] > ODDS_LIMIT_S]
    if slow:
        print(f"missed: {asked.nights} nights within {ODDS_LIMIT_S:g} s ({len(slow)} of {len(rows)})")
    return 1 if slow else 0


if __name__ == "__main__":
    raise SystemExit(main())
