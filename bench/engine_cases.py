"""Made-up questions of a working size for the planning engine: jobs of elastic steps on shared machines.

Every job is a chain of steps that follow one another without a gap; some steps stretch within a window, one may
be done in one of three modes, and one needs a machine that stands in the right setup state. A crew with hours
serves parts of the steps. Jobs are due in two waves.
"""

from __future__ import annotations

import random
from dataclasses import replace

from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Mode,
    Objective,
    Part,
    Problem,
    Resource,
    Task,
)

HORIZON = 1080


def shop(jobs: int, seed: int = 1, *, tightness: float = 1.0) -> Problem:
    """A question with ``jobs`` jobs of about ten tasks each; resources cure_ with the number of jobs.

    ``tightness`` above 1 gives fewer machines.
    """
    draw = random.Random(seed)
    kilns = max(1, round(jobs / 9 / tightness))
    states = ("170", "190", "210", "230")
    change = {(s, t): abs(int(s) - int(t)) // (2 if s < t else 1) for s in states for t in states if s != t}
    kiln = Resource("kiln", 6, (), states, change, None, dict.fromkeys(states, 45))
    resources = [replace(kiln, id=f"kiln{k}") for k in range(kilns)]
    crew = max(2, round(jobs / 6 / tightness))
    resources += [
        Resource("crew", crew, ((0, 60, 0), (60, 420, max(1, crew // 2)), (600, 630, max(1, crew // 2)))),
        Resource("press", 1),
        Resource("bigpress", 1),
        Resource("hall", 10 + 2 * jobs),
        Resource("chamber", 8 + jobs),
        Resource("room", 12 + 2 * jobs),
        Resource("table", max(1, round(jobs / 5 / tightness))),
        Resource("cutter", 1),
        Resource("pallet", 12 + 4 * jobs),
        Resource("rack", 20 + 4 * jobs),
    ]
    tasks: list[Task] = []
    lags: list[Lag] = []
    dues: list[Due] = []
    for j in range(jobs):
        job_tasks, job_lags, due = _job(f"j{j}", draw, states, [f"kiln{k}" for k in range(kilns)])
        tasks += job_tasks
        lags += job_lags
        dues += due
    held = tuple(f"held:kiln{k}" for k in range(kilns))
    objective = Objective((("late",), ("early", "deviation", "mode", *held)))
    return Problem(HORIZON, tuple(tasks), tuple(resources), tuple(lags), tuple(dues), objective)


def _job(
    name: str, draw: random.Random, states: tuple[str, ...], kilns: list[str]
) -> tuple[list[Task], list[Lag], list[Due]]:
    size = draw.randint(1, 4)
    tasks, lags, dues = [], [], []

    def add(step: str, *modes: Mode, earliest: int = 0) -> str:
        tasks.append(Task(f"{name}.{step}", modes, earliest))
        return f"{name}.{step}"

    def one(lo: int, hi: int, *demands: Demand, preferred: int | None = None) -> Mode:
        return Mode("only", lo, hi, preferred, demands)

    def follow(before: str, after: str) -> None:
        lags.append(Lag(before, after, 0, 0))

    hands = Demand("crew")
    fetch = add("fetch", one(8, 8, hands))
    press_time = draw.randint(12, 25)
    press = add(
        "press",
        *(
            Mode(
                machine,
                press_time,
                press_time,
                None,
                (Demand(machine), Demand("crew", 1, Part("first", 5)), Demand("crew", 1, Part("last", 3))),
            )
            for machine in ("press", "bigpress")
        ),
    )
    lags.append(Lag(fetch, press, 0, 240))
    set_time = draw.randint(40, 120)
    settle = add("set", one(round(set_time * 0.8), round(set_time * 1.4), Demand("room", size), preferred=set_time))
    follow(press, settle)
    lots = draw.randint(1, 2)
    due = draw.choice((540, 780)) + draw.randrange(0, 121, 15)
    allowed = draw.choice((states[:2], states[1:3], states[2:], states[2:3]))
    burn = draw.randint(15, 45)
    cure = draw.randint(45, 100)
    for lot in range(lots):
        form = add(f"form{lot}", one(6 + 3 * size, 12 + 3 * size, hands, Demand("table"), Demand("pallet", size)))
        follow(settle, form) if lot == 0 else lags.append(Lag(settle, form, 0, 45))
        cure_lo, cure_hi = round(cure * 0.85), round(cure * 1.2)
        cured = add(
            f"cure{lot}",
            Mode("chamber", cure_lo, cure_hi, cure, (Demand("chamber", size), Demand("pallet", size))),
            Mode("room", 2 * cure_lo, 2 * cure_hi, 2 * cure, (Demand("room", size), Demand("pallet", size)), 5),
            Mode("hall", 360, 720, 480, (Demand("hall", size), Demand("pallet", size)), 10),
        )
        follow(form, cured)
        load = Demand("crew", 1, Part("first", 2)), Demand("crew", 1, Part("last", 2)), Demand("pallet", size)
        fire = add(
            f"fire{lot}",
            *(
                Mode(kiln, burn, burn + 2, burn, (Demand(kiln, size, Part(), frozenset(allowed)), *load))
                for kiln in kilns
            ),
        )
        follow(cured, fire)
        cool = add(f"cool{lot}", one(30, 180, Demand("rack", size), preferred=45))
        follow(fire, cool)
        pack = add(f"pack{lot}", one(3 + size, 3 + size, hands))
        follow(cool, pack)
        dues.append(Due(pack, due, 100, 1, 240))
    return tasks, lags, dues
