"""Two revisions of a formula, or a revision and a draft, side by side."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import Shelf, shelf
from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.beside import Beside, beside
from smallhours.bakery.formula.changes import changes
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.errors import BadInput, NotFound
from smallhours.records import queries


@dataclass(frozen=True)
class CompareFormulas:
    """Two revisions of one formula, by number; ``draft`` in place of the newer one."""

    slug: str
    older: int
    newer: int | None = None
    draft: Formula | None = None


@dataclass(frozen=True)
class Side:
    """One of the two: its revision (None: a draft), who wrote it, when and why."""

    number: int | None
    author: str = ""
    at: dt.datetime | None = None
    reason: str = ""


@dataclass(frozen=True)
class Compared:
    """``rows``: everything written in either, with whether it changed; ``findings``: what of it matters; empty if one
    of the two can no longer be reckoned with today's ingredients. ``names``: of the ingredients (English, Spanish)."""

    older: Side
    newer: Side
    rows: tuple[Beside, ...]
    findings: tuple[Finding, ...]
    names: dict[str, tuple[str, str]]


def compare_formulas(command: CompareFormulas, actor: Actor = BAKER) -> Compared:
    """The two side by side. Raises NotFound for a revision that is not there, NotAllowed."""
    require(actor, "look")
    held = shelf()
    old = queries.kept_formula(command.slug, command.older)
    if command.draft is not None:
        new, newer = command.draft, Side(None)
    else:
        kept = queries.kept_formula(command.slug, command.newer)
        new, newer = kept.document, Side(kept.number, kept.author, kept.at, kept.reason)
    older = Side(old.number, old.author, old.at, old.reason)
    return Compared(
        older, newer, beside(old.document, new), _findings(old.document, new, held), _names(held, old.document, new)
    )


def _findings(old: Formula, new: Formula, held: Shelf) -> tuple[Finding, ...]:
    try:
        before, after = (joined(one, held.formula) for one in (old, new))
        return tuple(changes(before, after, held.pantry()))
    except (NotFound, BadInput):
        return ()


def _names(held: Shelf, *formulas: Formula) -> dict[str, tuple[str, str]]:
    pantry = held.pantry()
    names = {}
    for formula in formulas:
        for part in formula.parts:
            for line in part.lines:
                if line.ingredient is not None and line.ingredient in pantry:
                    stuff = pantry.find(line.ingredient)
                    names[stuff.key] = (stuff.name, stuff.name_es)
    return names
