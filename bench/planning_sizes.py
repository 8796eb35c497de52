"""How planning grows with the size of a bakery: ``PYTHONPATH=src python bench/planning_sizes.py``.

Nights of 10 to 300 products, made up from the demo's documents (``made_up_bakeries.py``), several for each size. For
each: how long the question took (lots, windows, steps), when the first whole plan was there (with the question; also in
seconds of one processor, which other work on the machine changes less), lateness after 5, 10 and 15 s, when it was
zero, what each level came to, and the memory it took. ``--cold``: the same nights with the bare solver, without our
first plan and refitting. ``--long S``: a run of S seconds to compare the levels with. ``--svg FILE`` draws how times
grow. Each plan is made in a process of its own. The limits it is held to are in ``LIMITS``; the exit code is 1 if one
is missed. What ``plan_night`` adds on top (windows at the hours of the plan, courses) is not in it; ``bench/night.py``
has that for the demo.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import math
import os
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "bench")]

from made_up_bakeries import NIGHT, made_up  # noqa: E402
from smallhours.bakery.formula.join import joined  # noqa: E402
from smallhours.bakery.kitchen.clock import instant  # noqa: E402
from smallhours.bakery.orders.batches import batches  # noqa: E402
from smallhours.bakery.orders.products import finder  # noqa: E402
from smallhours.planning.engine.problem import Problem  # noqa: E402
from smallhours.planning.shift.clock import clock_for  # noqa: E402
from smallhours.planning.shift.equipment import equipment_of  # noqa: E402
from smallhours.planning.shift.plan_night import Asked, night_question  # noqa: E402
from smallhours.planning.shift.priorities import name_of  # noqa: E402

MARKS_S = (5.0, 10.0, 15.0)
LIMITS = {25: 1.0, 80: 3.0, 300: 20.0}  # seconds until the first whole plan
LONGER_S = {300: 20.0}  # the time limit of a size, where it is not the usual one


@dataclass(frozen=True)
class Run:
    """One night planned once; ``late_at``: minutes late at each mark (None: no plan yet)."""

    products: int
    seed: int
    way: str
    limit_s: float
    tasks: int
    question_s: float
    first_s: float | None
    first_cpu_s: float | None
    on_time_s: float | None
    late_at: tuple[float | None, ...]
    levels: tuple[tuple[str, float, float], ...]
    total_s: float
    memory_mib: float


def measured(products: int, seed: int, way: str, limit_s: float) -> Run:
    """Plan one night in this process."""
    from smallhours.planning.engine import solve as engine
    from smallhours.planning.engine.progress import Progress
    from smallhours.planning.engine.verify import verify

    if way == "cold":
        engine.CONSTRUCT_ABOVE = 10**9
    told: list[tuple[float, int, int]] = []
    first_cpu: list[float] = []
    began, began_cpu = time.monotonic(), time.process_time()
    problem = question_of(products, seed)
    question_s = time.monotonic() - began

    def note(progress: Progress) -> None:
        if progress.value is not None:
            if not told:
                first_cpu.append(time.process_time() - began_cpu)
            told.append((time.monotonic() - began, progress.level, progress.value))

    solution = engine.solve(problem, time_limit_s=limit_s - question_s, on_progress=note)
    total_s = time.monotonic() - began
    assert not solution.placed or verify(problem, solution) == []
    late = [(at, value) for at, level, value in told if level == 0]
    at_marks = tuple(min((v for at, v in late if at <= mark), default=None) for mark in MARKS_S)
    on_time = next((at for at, value in late if value == 0), None)
    levels = tuple((name_of(level.terms), level.value, level.bound) for level in solution.levels)
    memory_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    first = told[0][0] if told else None
    many, cpu = len(problem.tasks), first_cpu[0] if first_cpu else None
    return Run(
        products, seed, way, limit_s, many, question_s, first, cpu, on_time, at_marks, levels, total_s, memory_mib
    )


def question_of(products: int, seed: int) -> Problem:
    """The engine's question for a made-up night."""
    bakery = made_up(products, seed)
    asked = Asked(bakery.formulas, bakery.orders, bakery.kitchen, bakery.pantry, NIGHT)
    zone = bakery.kitchen.zone()
    last_due = max(instant(order.date, order.due, zone) for order in bakery.orders)
    made = batches(bakery.orders, bakery.formulas, bakery.kitchen, bakery.pantry)
    clock = clock_for(NIGHT, zone, last_due)
    whole = {name: joined(formula, finder(bakery.formulas)) for name, formula in bakery.formulas.items()}
    asked = replace(asked, formulas=whole)
    return night_question(asked, made, clock, equipment_of(bakery.kitchen))[1].problem


def apart(products: int, seed: int, way: str, limit_s: float) -> Run:
    """The same in a process of its own, so that memory and caches are its own."""
    command = [sys.executable, __file__, "--one", json.dumps([products, seed, way, limit_s])]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    given = json.loads(done.stdout.splitlines()[-1])
    given["levels"] = tuple(tuple(level) for level in given["levels"])
    given["late_at"] = tuple(given["late_at"])
    return Run(**given)


def told(run: Run) -> str:
    """One row."""

    def seconds(value: float | None) -> str:
        return "     -" if value is None else f"{value:6.1f}"

    late = " ".join("     -" if value is None else f"{value:6.0f}" for value in run.late_at)
    levels = "  ".join(f"{name} {value:.0f} (>= {bound:.0f})" for name, value, bound in run.levels)
    return (
        f"{run.products:5} {run.seed:3} {run.way:6} {run.limit_s:5.0f} {run.tasks:6} {run.question_s:8.1f} "
        f"{seconds(run.first_s)} {seconds(run.first_cpu_s)} {seconds(run.on_time_s)} {late} {run.total_s:6.1f} "
        f"{run.memory_mib:6.0f}  {levels}"
    )


def summary(runs: Sequence[Run], best: dict[tuple[int, int], Run]) -> Iterator[str]:
    """Medians and spread for each size and way, and how far above the best known each level is."""
    for products, way in dict.fromkeys((run.products, run.way) for run in runs):
        mine = [run for run in runs if (run.products, run.way) == (products, way)]
        firsts = [run.total_s if run.first_s is None else run.first_s for run in mine]
        text = (
            f"{products:5} products, {way}: first plan {statistics.median(firsts):.1f} s "
            f"({min(firsts):.1f} to {max(firsts):.1f}), on time in "
            f"{sum(run.on_time_s is not None for run in mine)} of {len(mine)}"
        )
        names = [name for name, _, _ in mine[0].levels]
        for number, name in enumerate(names):
            over = [gap for run in mine if (gap := _over(run, best.get((run.products, run.seed)), number)) is not None]
            if over:
                text += f"; {name} {statistics.median(over):+.0%} of the best ({min(over):+.0%} to {max(over):+.0%})"
        yield text


def _over(run: Run, best: Run | None, number: int) -> float | None:
    """How far a level is above the best plan's."""
    if best is None or len(run.levels) <= number or len(best.levels) <= number:
        return None
    value, least = run.levels[number][1], best.levels[number][1]
    return 0.0 if value == least else (value - least) / max(least, 1.0)


def picture(runs: Sequence[Run]) -> str:
    """First plan and first plan on time by the number of products, both scales by powers, as SVG."""
    built = [run for run in runs if run.way == "built"]
    sizes = sorted({run.products for run in built})
    rows = {
        "first whole plan": [(n, [r.first_s for r in built if r.products == n and r.first_s]) for n in sizes],
        "first plan on time": [(n, [r.on_time_s for r in built if r.products == n and r.on_time_s]) for n in sizes],
    }
    series = [(name, [(n, statistics.median(values)) for n, values in row if values]) for name, row in rows.items()]
    return _chart(series)


def _chart(series: Sequence[tuple[str, Sequence[tuple[int, float]]]]) -> str:
    width, height, left, bottom = 640, 320, 64, 50
    across, up = width - left - 150, height - bottom - 20
    lines = []

    def x(products: float) -> float:
        return left + across * math.log10(products / 10.0) / math.log10(30.0)

    def y(seconds: float) -> float:
        return 20 + up * (1.0 - math.log10(max(seconds, 0.1) / 0.1) / 3.0)

    for seconds in (0.1, 1.0, 10.0, 100.0):
        lines.append(f'<path d="M{left} {y(seconds):.1f}H{left + across}" stroke="#d9d0c3"/>')
        lines.append(f'<text x="{left - 8}" y="{y(seconds) + 4:.1f}" text-anchor="end">{seconds:g} s</text>')
    for products in (10, 25, 50, 80, 300):
        lines.append(f'<path d="M{x(products):.1f} 20V{20 + up}" stroke="#d9d0c3"/>')
        lines.append(f'<text x="{x(products):.1f}" y="{height - 30}" text-anchor="middle">{products}</text>')
    lines.append(f'<text x="{left + across / 2:.0f}" y="{height - 8}" text-anchor="middle">products in a night</text>')
    for (name, points), (colour, dash) in zip(series, (("#8a3b12", ""), ("#1f5f8b", "8 4")), strict=True):
        path = "L".join(f"{x(n):.1f} {y(s):.1f}" for n, s in points)
        lines.append(f'<path d="M{path}" fill="none" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>')
        if points:
            n, s = points[-1]
            lines.append(f'<text x="{x(n) + 6:.1f}" y="{y(s) + 4:.1f}" fill="{colour}">{name}</text>')
    style = 'font-family="sans-serif" font-size="12" fill="#3a3128"'
    body = "\n".join(lines)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" {style}>\n{body}\n</svg>\n'


def main() -> int:
    """Measure, print, draw, and say whether the limits hold."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--products", type=int, nargs="*", default=[10, 25, 50, 80, 300])
    parser.add_argument("--seeds", type=int, nargs="*", default=[1, 2, 3])
    parser.add_argument("--limit", type=float, default=10.0, help="seconds of each run (20 for 300 products)")
    parser.add_argument("--long", type=float, default=0.0, help="also run so long, to compare the levels with")
    parser.add_argument("--cold", action="store_true", help="also the bare solver")
    parser.add_argument("--json", default="")
    parser.add_argument("--svg", default="")
    parser.add_argument("--one", default="", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        print(json.dumps(asdict(measured(*json.loads(asked.one)))))
        return 0
    load = os.getloadavg()[0]
    print(f"{os.cpu_count()} processors, load {load:.1f}, Python {sys.version.split()[0]}, {dt.date.today()}")
    print(
        "products seed way  limit  tasks question  first    cpu on-time  late@5 late@10 late@15  total    MiB  levels"
    )
    runs: list[Run] = []
    best: dict[tuple[int, int], Run] = {}
    for products in asked.products:
        for seed in asked.seeds:
            for way in ("built", "cold") if asked.cold else ("built",):
                runs.append(apart(products, seed, way, LONGER_S.get(products, asked.limit)))
                print(told(runs[-1]), flush=True)
            if asked.long:
                best[(products, seed)] = apart(products, seed, "long", asked.long)
                print(told(best[(products, seed)]), flush=True)
    print("\n".join(summary(runs, best)))
    if asked.json:
        kept = [asdict(run) for run in (*runs, *best.values())]
        Path(asked.json).write_text(json.dumps(kept, indent=1), "utf-8")
    if asked.svg:
        Path(asked.svg).write_text(picture(runs), "utf-8")
    missed = [run for run in runs if run.way == "built" and (run.first_s or 1e9) > LIMITS.get(run.products, 1e9)]
    for run in missed:
        print(f"missed: a first plan within {LIMITS[run.products]:g} s at {run.products} products (seed {run.seed})")
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
