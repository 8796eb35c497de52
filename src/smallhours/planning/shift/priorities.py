"""What matters most in a plan, and what next: the levels of the objective in the order the baker wants.

The standard order: nothing late, and nothing older than it is good for when it is due; the fewest hours of people and
the latest first start; fresh; stages as long as they should be; ovens on for the shortest time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from smallhours.bakery.kitchen.document import PRIORITIES, Priority
from smallhours.errors import BadInput
from smallhours.planning.engine.problem import Objective, Resource
from smallhours.planning.shift.people import POOL

# of a term within its level, where it is not 1: an hour there counts more than a late start, and cleaning is work
WEIGHTS = {"hours": 2, "mode": 10, "changed": 3}


def ordered(first: Sequence[str]) -> tuple[Priority, ...]:
    """All priorities, those in ``first`` right after being on time (or before, where it is among them).

    >>> ordered(["freshness"])
    ('on-time', 'freshness', 'hours', 'lengths', 'oven')

    Raises: BadInput for a word that is no priority, or one said twice.
    """
    for word in first:
        if word not in PRIORITIES:
            raise BadInput(f"{word!r} is nothing that can come first; say one of {', '.join(PRIORITIES)}")
        if list(first).count(word) > 1:
            raise BadInput(f"{word!r} is said twice; it can come first only once")
    named: list[Priority] = [p for word in first for p in PRIORITIES if p == word]
    start: list[Priority] = [] if "on-time" in named else ["on-time"]
    rest = [p for p in PRIORITIES if p not in named and p not in start]
    return (*start, *named, *rest)


def name_of(terms: Iterable[str]) -> str:
    """The priority that a level of the objective is about; empty for another one.

    >>> name_of(["deviation", "mode"]), name_of(["move"])
    ('lengths', '')
    """
    about: dict[str, Priority] = {
        "late": "on-time", "hours": "hours", "early": "freshness", "deviation": "lengths", "held": "oven",
        "changed": "oven",
    }  # fmt: skip
    return next((about[kind] for kind in (term.partition(":")[0] for term in terms) if kind in about), "")


def objective(first: Sequence[str], things: Sequence[Resource], decks: Collection[str]) -> Objective:
    """The levels of a night. ``things``: its equipment as resources; ``decks``: the ids of oven decks among it."""
    held = tuple(f"held:{thing.id}" for thing in things if thing.id in decks)
    changed = tuple(f"changed:{thing.id}" for thing in things if thing.change_demands)
    terms: dict[Priority, tuple[str, ...]] = {
        "on-time": ("late", "stale"),
        "hours": (f"hours:{POOL}", f"begins:{POOL}"),
        "freshness": ("early",),
        "lengths": ("deviation", "mode"),
        "oven": (*held, *changed),
    }
    levels = tuple(terms[priority] for priority in ordered(first) if terms[priority])
    names = [name for level in levels for name in level]
    return Objective(levels, {name: WEIGHTS.get(name.partition(":")[0], 1) for name in names})
