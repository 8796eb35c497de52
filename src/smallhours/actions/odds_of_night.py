"""How sure a plan is: run it through nights that could be, or plan a night with several margins; writes nothing."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from smallhours.actions.clock import Clock, now
from smallhours.actions.night_papers import NightPapersOf, night_papers
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.plan_night import PlanNight, plan_night
from smallhours.errors import BadInput
from smallhours.planning.check.reading import LARGEST_BYTES, read_plan
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.odds.document import MarginOdds, NightOdds
from smallhours.planning.odds.margins import MARGINS_S, WANTED, checked_margins_s, compare_margins, recommended
from smallhours.planning.odds.night_odds import NIGHTS, night_odds
from smallhours.planning.odds.spread import Spread
from smallhours.planning.plan import Plan

STDIN = Path("-")


@dataclass(frozen=True)
class OddsOf:
    """The plan of a night in the store (the newest of all, if not said), or one in a JSON file (``-``: standard
    input); ``nights`` drawn with ``seed`` from ``spread``."""

    night: dt.date | None = None
    file: Path | None = None
    nights: int = NIGHTS
    seed: int = 1
    spread: Spread = field(default_factory=Spread)


@dataclass(frozen=True)
class Odds:
    """The odds of a plan. ``source``: which plan."""

    source: str
    plan: Plan
    odds: NightOdds


@dataclass(frozen=True)
class CompareMargins:
    """A night planned with each of ``margins_s``, each within ``time_limit_s``; ``wanted``: the mean chance of an order
    to be on time that is enough. ``odds``: nights, seed, spread, and which night (the coming one if not said)."""

    odds: OddsOf = field(default_factory=OddsOf)
    margins_s: tuple[float, ...] = MARGINS_S
    time_limit_s: float = 60.0
    wanted: float = WANTED


@dataclass(frozen=True)
class Compared:
    """What each margin brings and costs, and the smallest that is enough (None: none is)."""

    night: dt.date
    margins: tuple[MarginOdds, ...]
    recommended: MarginOdds | None


def odds_of_night(command: OddsOf = OddsOf(), actor: Actor = BAKER) -> Odds:
    """The odds of a plan; a file needs no open store.

    Raises NotFound if there is no such plan, DocumentError for a file that is no plan, BadInput for one that cannot be
    read, a plan without tasks, or numbers out of range; NotAllowed.
    """
    require(actor, "look")
    if command.file is not None:
        source, plan = str(command.file), _read(command.file)
    else:
        stored = night_papers(NightPapersOf(command.night)).stored
        source, plan = f"plan {stored.id}", stored.plan
    if not plan.tasks:
        raise BadInput(f"{source}: is a plan without work (status {plan.status}), so there is nothing to be late")
    return Odds(source, plan, night_odds(plan, nights=command.nights, seed=command.seed, spread=command.spread))


def compare_night_margins(
    command: CompareMargins = CompareMargins(),
    actor: Actor = BAKER,
    clock: Clock = now,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Stopper | None = None,
) -> Compared:
    """Plan a night with each margin and compare; no plan is kept. Raises as ``plan_night`` does, and BadInput."""
    require(actor, "plan")
    if not 0 < command.wanted <= 1:
        raise BadInput(f"the wanted chance must be above 0 and at most 100 of 100 (found {100 * command.wanted:g})")
    margins_s = checked_margins_s(command.margins_s)
    asked = command.odds
    planned: list[Plan] = []

    def plan_of(margin_s: float) -> Plan:
        wanted = PlanNight(asked.night, command.time_limit_s, keep=False, margin_s=margin_s)
        planned.append(plan_night(wanted, actor, clock, on_progress, stop).plan)
        if not planned[-1].tasks:
            raise BadInput(f"there is no plan for the night to {planned[-1].night}, so there is nothing to compare")
        return planned[-1]

    found = compare_margins(plan_of, margins_s, nights=asked.nights, seed=asked.seed, spread=asked.spread)
    return Compared(planned[0].night, found, recommended(found, command.wanted))


def _read(file: Path) -> Plan:
    if file == STDIN:
        return read_plan(sys.stdin.buffer.read(LARGEST_BYTES + 1), "standard input")
    try:
        with file.open("rb") as opened:
            return read_plan(opened.read(LARGEST_BYTES + 1), str(file))
    except OSError as error:
        raise BadInput(f"{file}: cannot be read ({error.strerror})") from None
