"""How fast is a night planned and how good is the plan; how fast are formulas scaled.

Run: ``PYTHONPATH=src python bench/night.py [--days tue,fri,sat] [--limits 5,10,30] [--json FILE]``

For each weekday of the demo bakery's orders: seconds until the first whole plan (with all that is read and built
before), then for each time limit the value, bound and gap of each level of the objective. In the same run, as peer,
the same question to the bare solver, cold: no constructed first plan and no improving before bounding. Then 1,000
formulas scaled, against a stated limit. Exit code 1 if a limit is missed.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import statistics
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from importlib.resources import files

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.formula.scaling import scale_by_pieces
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import DAYS, Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.planning.engine import solve as engine
from smallhours.planning.engine.progress import Progress
from smallhours.planning.plan import Plan
from smallhours.planning.shift.plan_night import plan_night

FIRST_PLAN_LIMIT_S = 10.0  # a baker waits that long before she thinks it hangs
SCALING_LIMIT_S = 5.0  # for 1,000 formulas: a page of all formulas at another size within a blink each
MONDAY = dt.date(2026, 11, 23)


@dataclass(frozen=True)
class Bakery:
    """The demo bakery's documents; ``whole``: its formulas joined with their bases."""

    whole: Mapping[str, Formula]
    formulas: Mapping[str, Formula]
    kitchen: Kitchen
    orders: OrderBook
    pantry: Pantry


@dataclass(frozen=True)
class Measured:
    """One plan: of which day, how, within what; what came of it."""

    day: str
    way: str
    limit_s: float
    tasks: int
    first_plan_s: float | None
    status: str
    levels: tuple[tuple[float, float], ...]


def demo() -> Bakery:
    """The demo bakery, read from the package."""
    folder = files("smallhours") / "demo"

    def text(*path: str) -> str:
        return folder.joinpath(*path).read_text("utf-8")

    named = [f.name for f in (folder / "formulas").iterdir() if f.name.endswith(".toml")]
    own = {f.id: f for f in (Formula.read_toml(text("formulas", name), name) for name in sorted(named))}
    ingredients = IngredientList.read_toml(text("ingredients.toml"), "ingredients")
    return Bakery(
        {name: joined(formula, own.__getitem__) for name, formula in own.items()},
        own,
        Kitchen.read_toml(text("kitchen.toml"), "kitchen"),
        OrderBook.read_toml(text("orders.toml"), "orders"),
        Pantry(ingredients.ingredients),
    )


@contextmanager
def cold() -> Iterator[None]:
    """The bare solver: no first plan is constructed."""
    above = engine.CONSTRUCT_ABOVE
    engine.CONSTRUCT_ABOVE = 10**9
    try:
        yield
    finally:
        engine.CONSTRUCT_ABOVE = above


def measure(bakery: Bakery, day: str, limit_s: float, way: str) -> Measured:
    """Plan one weekday's orders within a time limit."""
    night = MONDAY + dt.timedelta(days=DAYS.index(day))
    first: list[float] = []
    began = time.monotonic()

    def note(progress: Progress) -> None:
        if progress.value is not None and not first:
            first.append(time.monotonic() - began)

    def planned() -> Plan:
        return plan_night(
            bakery.formulas, bakery.orders.on(night), bakery.kitchen, bakery.pantry, night,
            made_at=dt.datetime.now(dt.UTC), time_limit_s=limit_s, on_progress=note,
        )  # fmt: skip

    if way == "cold":
        with cold():
            plan = planned()
    else:
        plan = planned()
    first_s = first[0] if first else None
    in_time = first_s is not None and first_s <= limit_s + 1.0  # later plans come from being patient, see plan_night
    levels = tuple((level.value, level.bound) for level in plan.objective) if in_time else ()
    return Measured(day, way, limit_s, len(plan.tasks), first_s, plan.status if in_time else "too late", levels)


def gap(value: float, bound: float) -> float:
    """How far a value may be above the least, as a share of the value."""
    return 0.0 if value <= bound else (value - bound) / value


def told(measured: Measured) -> str:
    """One row of the table."""
    first = "none" if measured.first_plan_s is None else f"{measured.first_plan_s:5.1f} s"
    levels = "   ".join(
        f"level {n}: {value:6.0f} (bound {bound:5.0f}, gap {gap(value, bound):4.0%})"
        for n, (value, bound) in enumerate(measured.levels, 1)
    )
    return (
        f"{measured.day}  {measured.way:5} {measured.limit_s:4.0f} s  first plan {first}  {measured.status:9} {levels}"
    )


def scaled_1000(bakery: Bakery) -> float:
    """Seconds to scale 1,000 formulas, each a new document and another number of pieces."""
    products = [f for f in bakery.whole.values() if f.output is not None]
    many = [products[n % len(products)].model_copy(update={"id": f"formula-{n}"}) for n in range(1000)]
    began = time.perf_counter()
    for number, formula in enumerate(many):
        scaled = scale_by_pieces(formula, bakery.pantry, 12 + number)
        assert scaled.pieces == 12 + number
    return time.perf_counter() - began


def summary(rows: Sequence[Measured]) -> Iterator[str]:
    """Medians over the days, for each way and limit."""
    for way, limit_s in dict.fromkeys((row.way, row.limit_s) for row in rows):
        mine = [row for row in rows if (row.way, row.limit_s) == (way, limit_s)]
        firsts = [row.first_plan_s if row.first_plan_s is not None else limit_s for row in mine]
        text = f"median  {way:5} {limit_s:4.0f} s  first plan {statistics.median(firsts):5.1f} s"
        planned = [row for row in mine if len(row.levels) >= 2]
        for n in range(2) if planned else ():
            value = statistics.median(row.levels[n][0] for row in planned)
            open_share = statistics.median(gap(*row.levels[n]) for row in planned)
            text += f"   level {n + 1}: {value:6.0f} (gap {open_share:4.0%})"
        yield text + f"   plans {len(planned)} of {len(mine)}"


def main() -> int:
    """Measure, print, and say whether the limits hold."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", default="tue,fri,sat")
    parser.add_argument("--limits", default="5,10,30")
    parser.add_argument("--json", default="")
    asked = parser.parse_args()
    bakery = demo()
    print(f"{os.cpu_count()} processors, Python {sys.version.split()[0]}, {dt.date.today()}")
    rows = []
    for day in asked.days.split(","):
        for limit_s in (float(text) for text in asked.limits.split(",")):
            for way in ("built", "cold"):
                rows.append(measure(bakery, day, limit_s, way))
                print(told(rows[-1]), flush=True)
    print("\n".join(summary(rows)))
    scaling_s = scaled_1000(bakery)
    print(f"1,000 formulas scaled in {scaling_s:.2f} s (limit {SCALING_LIMIT_S:g} s)")
    if asked.json:
        with open(asked.json, "w", encoding="utf-8") as file:
            json.dump({"plans": [asdict(row) for row in rows], "scaling_s": scaling_s}, file, indent=1)
    firsts = [row.first_plan_s for row in rows if row.way == "built"]
    slow = [s for s in firsts if s is None or s > FIRST_PLAN_LIMIT_S]
    if slow:
        print(f"missed: a first plan within {FIRST_PLAN_LIMIT_S:g} s ({len(slow)} of {len(firsts)})")
    if scaling_s > SCALING_LIMIT_S:
        print(f"missed: 1,000 formulas within {SCALING_LIMIT_S:g} s")
    return 1 if slow or scaling_s > SCALING_LIMIT_S else 0


if __name__ == "__main__":
    raise SystemExit(main())
