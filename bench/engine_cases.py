"""Made-up questions of a working size for the planning engine: jobs of elastic steps on shared machines.

Every job is a chain of steps that follow one another without a gap; some steps stretch within a window, one may
be done in one of three modes, and one needs a machine that stands in the right setup state. A crew with hours
serves parts of the steps. Jobs are due in two waves.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace

from smallhours.planning.engine.problem import Demand, Due, Lag, Mode, Objective, Part, Problem, Resource, Task

HORIZON = 1080
STATES = ("170", "190", "210", "230")
HANDS = Demand("crew")


def shop(jobs: int, seed: int = 1, *, tightness: float = 1.0) -> Problem:
    """A question with ``jobs`` jobs of about ten tasks each; resources grow with the number of jobs.

    ``tightness`` above 1 gives fewer machines and a smaller crew.
    """
    kilns = [f"kiln{k}" for k in range(max(1, round(jobs / 9 / tightness)))]
    draft = _Draft(random.Random(seed), kilns)
    for j in range(jobs):
        draft.job(f"j{j}")
    held = tuple(f"held:{kiln}" for kiln in kilns)
    objective = Objective((("late",), ("early", "deviation", "mode", *held)))
    resources = _resources(jobs, tightness, kilns)
    return Problem(HORIZON, tuple(draft.tasks), resources, tuple(draft.lags), tuple(draft.dues), objective)


def _resources(jobs: int, tightness: float, kilns: list[str]) -> tuple[Resource, ...]:
    change = {(s, t): abs(int(s) - int(t)) // (2 if s < t else 1) for s in STATES for t in STATES if s != t}
    kiln = Resource("", 6, (), STATES, change, None, dict.fromkeys(STATES, 45))
    crew = max(2, round(jobs / 6 / tightness))
    few = max(1, crew // 2)
    return (
        *(replace(kiln, id=name) for name in kilns),
        Resource("crew", crew, ((0, 60, 0), (60, 420, few), (600, 630, few))),
        Resource("press"),
        Resource("bigpress"),
        Resource("hall", 10 + 2 * jobs),
        Resource("chamber", 8 + jobs),
        Resource("floor", 12 + 2 * jobs),
        Resource("table", max(1, round(jobs / 5 / tightness))),
        Resource("pallet", 12 + 4 * jobs),
        Resource("yard", 20 + 4 * jobs),
    )


@dataclass
class _Draft:
    """A question in the making."""

    draw: random.Random
    kilns: list[str]
    tasks: list[Task] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    dues: list[Due] = field(default_factory=list)

    def job(self, name: str) -> None:
        """Add one job: fetch, press, settle, then in one or two lots form, cure, fire, cool and pack."""
        size = self.draw.randint(1, 4)
        fetch = self._add(f"{name}.fetch", _one(8, 8, HANDS))
        ticks = self.draw.randint(12, 25)
        ends = Demand("crew", 1, Part("first", 5)), Demand("crew", 1, Part("last", 3))
        machines = (Mode(m, ticks, ticks, None, (Demand(m), *ends)) for m in ("press", "bigpress"))
        press = self._add(f"{name}.press", *machines)
        self.lags.append(Lag(fetch, press, 0, 240))
        ticks = self.draw.randint(40, 120)
        window = _one(round(ticks * 0.8), round(ticks * 1.4), Demand("floor", size), preferred=ticks)
        settle = self._then(press, f"{name}.settle", window)
        lots = self.draw.randint(1, 2)
        due = self.draw.choice((540, 780)) + self.draw.randrange(0, 121, 15)
        states = frozenset(self.draw.choice((STATES[:2], STATES[1:3], STATES[2:], STATES[2:3])))
        burn, cure = self.draw.randint(15, 45), self.draw.randint(45, 100)
        for lot in range(lots):
            self._lot(f"{name}.{lot}", settle, 45 * lot, size, (burn, cure), states, due)

    def _lot(
        self, name: str, after: str, wait: int, size: int, ticks: tuple[int, int], states: frozenset[str], due: int
    ) -> None:
        burn, cure = ticks
        pallet = Demand("pallet", size)
        form = self._add(f"{name}.form", _one(6 + 3 * size, 12 + 3 * size, HANDS, Demand("table"), pallet))
        self.lags.append(Lag(after, form, 0, wait))
        lo, hi = round(cure * 0.85), round(cure * 1.2)
        cured = self._then(
            form,
            f"{name}.cure",
            Mode("chamber", lo, hi, cure, (Demand("chamber", size), pallet)),
            Mode("floor", 2 * lo, 2 * hi, 2 * cure, (Demand("floor", size), pallet), 5),
            Mode("hall", 360, 720, 480, (Demand("hall", size), pallet), 10),
        )
        load = Demand("crew", 1, Part("first", 2)), Demand("crew", 1, Part("last", 2)), pallet
        fires = (Mode(k, burn, burn + 2, burn, (Demand(k, size, Part(), states), *load)) for k in self.kilns)
        fire = self._then(cured, f"{name}.fire", *fires)
        cool = self._then(fire, f"{name}.cool", _one(30, 180, Demand("yard", size), preferred=45))
        pack = self._then(cool, f"{name}.pack", _one(3 + size, 3 + size, HANDS))
        self.dues.append(Due(pack, due, 100, 1, 240))

    def _add(self, name: str, *modes: Mode) -> str:
        self.tasks.append(Task(name, modes))
        return name

    def _then(self, before: str, name: str, *modes: Mode) -> str:
        self.lags.append(Lag(before, name, 0, 0))
        return self._add(name, *modes)


def _one(lo: int, hi: int, *demands: Demand, preferred: int | None = None) -> Mode:
    return Mode("only", lo, hi, preferred, demands)
