"""Swapping an ingredient for others so that water, fat, sugar and salt stay what they were."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from smallhours.bakery.formula import nutrients
from smallhours.bakery.formula.amounts import flour_in, unit_amounts
from smallhours.bakery.formula.changes import allergens_of
from smallhours.bakery.formula.document import Formula, Line, Part
from smallhours.bakery.formula.swap_table import KEPT, SWAPS, Gives, Swap
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.errors import BadInput, Impossible, NotFound

REPORTED = ("water", "fat", "sugar", "salt", "milk solids", "yeast")
_DIGITS = 4


@dataclass(frozen=True)
class Shift:
    """What a part holds of one thing before and after, in percent of ``basis`` (``flour`` or the part's ``mass``)."""

    part: str
    what: str
    basis: str
    before_percent: float
    after_percent: float


@dataclass(frozen=True)
class Move:
    """A line that a swap changes: how much of it there was and is, in percent of ``basis`` (the part's own flour,
    ``total``, ``mass`` or an ingredient's key), or in g where the part is written in masses (``basis``: ``g``). What
    goes out ends at 0, what comes in begins there."""

    part: str
    key: str
    name: str
    addition: int
    basis: str
    before: float
    after: float


@dataclass(frozen=True)
class Swapped:
    """A formula with a swap made.

    ``moves``: the lines that change; ``shifts``: water, fat, sugar, salt, milk solids and yeast before and after, for
    each part it was made in; ``remarks``: sentences on what could not be kept and what the numbers do not show.
    """

    formula: Formula
    moves: tuple[Move, ...]
    shifts: tuple[Shift, ...]
    allergens_came: frozenset[str]
    allergens_went: frozenset[str]
    remarks: tuple[str, ...]


def possible_swaps(formula: Formula, pantry: Pantry) -> tuple[str, ...]:
    """Ids of the swaps for which this (joined) formula has something to take out."""
    keys = [line.ingredient for part in formula.parts for line in part.lines if line.ingredient]
    return tuple(s.id for s in SWAPS.values() if any(_is(pantry.find(k), t) for k in keys for t in s.takes))


def swap(
    formula: Formula, pantry: Pantry, swap_id: str, part_id: str | None = None, instead: str | None = None
) -> Swapped:
    """The (joined) formula with a swap made in every part, or in one.

    ``instead``: another ingredient of the same use for the first that comes in (olive oil for sunflower oil).
    Amounts are solved from the compositions; what cannot be kept is in the remarks.

    Raises: NotFound for an unknown swap, part or ingredient; BadInput if there is nothing to swap.
    """
    chosen = _chosen(swap_id, instead)
    if part_id is not None and part_id not in {p.id for p in formula.parts}:
        raise NotFound(f"formula {formula.id!r} has no part {part_id!r}")
    parts, changed, remarks = [], [], []
    for part in formula.parts:
        if part_id not in (None, part.id) or not any(_goes(line, chosen, pantry) for line in part.lines):
            parts.append(part)
            continue
        new, said = _swapped_part(part, chosen, pantry)
        if new.percent_on != part.percent_on:
            said.append(f"part {part.id!r}: its percentages were on {part.percent_on}, now they are on its mass")
        parts.append(new)
        changed.append(part.id)
        remarks += said
    if not changed:
        raise BadInput(
            f"formula {formula.id!r} has no {' or '.join(chosen.takes)} to take out"
            + (f" in its part {part_id!r}" if part_id else "")
        )
    _refuse_hidden(formula, changed, chosen, pantry)
    after = formula.model_copy(update={"parts": tuple(parts)})
    was, now = allergens_of(formula, pantry), allergens_of(after, pantry)
    shifts = tuple(s for name in changed for s in _shifts(formula, after, name, pantry))
    moves = tuple(m for name in changed for m in _moves(formula.part(name), after.part(name), pantry))
    return Swapped(after, moves, shifts, now - was, was - now, tuple(remarks + [chosen.remark] * bool(chosen.remark)))


def replacement_g(pantry: Pantry, swap_id: str, take: str | None = None) -> dict[str, float]:
    """What takes the place of 1 g of the ingredient that goes out, in g by key; negative: to be taken away.

    Raises: NotFound for an unknown swap or ingredient.
    """
    chosen = _chosen(swap_id, None)
    return _solved(pantry.find(take or chosen.takes[0]), chosen.gives, pantry)


def _chosen(swap_id: str, instead: str | None) -> Swap:
    if swap_id not in SWAPS:
        near = difflib.get_close_matches(swap_id, SWAPS, n=3, cutoff=0.4)
        raise NotFound(
            f"there is no swap {swap_id!r}; {'near are' if near else 'there are'} {', '.join(near or SWAPS)}"
        )
    chosen = SWAPS[swap_id]
    if instead is None:
        return chosen
    first = Gives(instead, chosen.gives[0].keeps)
    return Swap(chosen.id, chosen.takes, (first, *chosen.gives[1:]), chosen.remark)


def _is(stuff: Stuff, key: str) -> bool:
    return key in (stuff.key, stuff.like)


def _goes(line: Line, chosen: Swap, pantry: Pantry) -> bool:
    return line.ingredient is not None and any(_is(pantry.find(line.ingredient), key) for key in chosen.takes)


def _solved(out: Stuff, gives: Sequence[Gives], pantry: Pantry) -> dict[str, float]:
    """Grams of each that comes in per gram that goes out: as many equations as ingredients."""
    import numpy as np

    stuffs = [pantry.find(give.key) for give in gives]
    matrix = np.array([[_per_gram(stuff, give.keeps) for stuff in stuffs] for give in gives])
    wanted = np.array([_per_gram(out, give.keeps) for give in gives])
    try:
        found = np.linalg.solve(matrix, wanted)
    except np.linalg.LinAlgError:
        raise Impossible(
            f"{', '.join(g.key for g in gives)} cannot keep {' and '.join(g.keeps for g in gives)} of {out.key}: "
            "one of them holds none of what it has to bring"
        ) from None
    return {give.key: float(x) for give, x in zip(gives, found, strict=True)}


def _per_gram(stuff: Stuff, what: str) -> float:
    share = KEPT[what](stuff)
    if share is None:
        raise BadInput(f"the {what} of {stuff.key!r} is not known; enter it from the specification sheet")
    return share


def _swapped_part(part: Part, chosen: Swap, pantry: Pantry) -> tuple[Part, list[str]]:
    lines = list(part.lines)
    remarks: list[str] = []
    for old in [line for line in part.lines if _goes(line, chosen, pantry)]:
        out = pantry.find(old.ingredient or "")
        gives = list(chosen.gives)
        while True:
            amounts = {key: x * _value(old) for key, x in _solved(out, gives, pantry).items()}
            short = [g for g in gives if g.evens_out and amounts[g.key] < 0 and not _can_give(lines, g.key, amounts)]
            if not short:
                break
            remarks.append(
                f"part {part.id!r}: {-amounts[short[0].key]:.3g} {_unit(old)} of {short[0].key} would have to be taken "
                f"away, and there is not that much; the {short[0].keeps} is not kept"
            )
            gives.remove(short[0])
        lost = [g.key for g in gives if not g.evens_out and amounts[g.key] < 0]
        if lost:
            raise Impossible(f"{out.key} cannot be made up of {', '.join(g.key for g in gives)}: {lost[0]} is below 0")
        lines = _replaced(lines, old, gives, amounts, pantry)
    return _on_its_basis(part, lines), remarks


def _replaced(
    lines: list[Line], old: Line, gives: Sequence[Gives], amounts: Mapping[str, float], pantry: Pantry
) -> list[Line]:
    """The lines with ``old`` gone: what comes in stands in its place, what evens out joins the line it has."""
    place = next(n for n, line in enumerate(lines) if line is old)
    rest = lines[:place] + lines[place + 1 :]
    own = pantry.find(old.ingredient or "")
    fresh: list[Line] = []
    for give in gives:
        at = next((n for n, line in enumerate(rest) if line.ingredient == give.key), None)
        if at is not None and (give.evens_out or rest[at].addition == old.addition):
            rest[at] = _with_value(rest[at], _value(rest[at]) + amounts[give.key])
        elif abs(amounts[give.key]) > 0.5 * 10**-_DIGITS:
            stuff = pantry.find(give.key)
            alike = stuff.kind == own.kind and not give.evens_out
            line = Line(
                ingredient=give.key,
                percent=old.percent,
                mass_g=old.mass_g,
                addition=1 if give.evens_out else old.addition,
                after_development=old.after_development and alike,
                tempered=old.tempered and stuff.liquid,
                temp_c=old.temp_c if alike else None,
            )
            fresh.append(_with_value(line, amounts[give.key]))
    return [line for line in rest[:place] + fresh + rest[place:] if line.part or _value(line) > 0]


def _can_give(lines: Sequence[Line], key: str, amounts: Mapping[str, float]) -> bool:
    has = next((_value(line) for line in lines if line.ingredient == key), 0.0)
    return has + amounts[key] >= -1e-9


def _value(line: Line) -> float:
    return line.mass_g if line.mass_g is not None else (line.percent or 0.0)


def _unit(line: Line) -> str:
    return "g" if line.mass_g is not None else "%"


def _with_value(line: Line, value: float) -> Line:
    name = "mass_g" if line.mass_g is not None else "percent"
    return line.model_copy(update={name: max(0.0, round(value, _DIGITS)), "household": None})


def _on_its_basis(part: Part, lines: Sequence[Line]) -> Part:
    """True percentages again add up to 100; a part that stood on what went out now stands on its mass."""
    basis = part.percent_on
    if part.lines[0].mass_g is None and basis not in ("part", "total"):
        if basis != "mass" and not any(line.ingredient == basis for line in lines):
            basis = "mass"
        ground = math.fsum(_value(line) for line in lines if basis == "mass" or line.ingredient == basis)
        lines = [line if line.flour_percent else _with_value(line, _value(line) * 100 / ground) for line in lines]
    return part.model_copy(update={"lines": tuple(lines), "percent_on": basis})


def _refuse_hidden(formula: Formula, changed: Sequence[str], chosen: Swap, pantry: Pantry) -> None:
    """On ``total`` a part says what there is in all; a swap inside a part it takes in must be one it lists too."""
    for part in formula.parts:
        inside = {line.part for line in part.lines if line.part} & set(changed)
        if part.percent_on == "total" and inside and part.id not in changed:
            raise BadInput(
                f"part {part.id!r} says how much of each ingredient there is in all, but does not list the "
                f"{' or '.join(chosen.takes)} of {', '.join(sorted(inside))}; list it there first"
            )
        hidden = {line.part for line in part.lines if line.part} - set(changed)
        opened = {n: unit_amounts(formula, pantry, pieces=1).ingredients(n) for n in hidden if n is not None}
        holds = [n for n, keys in opened.items() if any(_is(pantry.find(k), t) for k in keys for t in chosen.takes)]
        if part.percent_on == "total" and part.id in changed and holds:
            raise BadInput(f"part {part.id!r} counts what {', '.join(holds)} brings in; make the swap in all parts")


def _moves(before: Part, after: Part, pantry: Pantry) -> list[Move]:
    """What each line was and is; lines of one ingredient that go in together count as one.

    A part that stood on what went out is told on its mass before and after, so that the two can be compared.
    """
    whole = math.fsum(_value(line) for line in before.lines) if before.percent_on != after.percent_on else 100.0
    was, now = _by_line(before, 100.0 / whole), _by_line(after)
    basis = "g" if after.lines[0].mass_g is not None else after.percent_on
    return [
        Move(after.id, key, pantry.find(key).name, addition, basis, old, new)
        for key, addition in dict.fromkeys([*was, *now])
        if abs((new := now.get((key, addition), 0.0)) - (old := was.get((key, addition), 0.0))) > 0.5 * 10**-_DIGITS
    ]


def _by_line(part: Part, scale: float = 1.0) -> dict[tuple[str, int], float]:
    amounts: dict[tuple[str, int], float] = {}
    for line in part.lines:
        if line.ingredient is not None:
            at = (line.ingredient, line.addition)
            amounts[at] = amounts.get(at, 0.0) + _value(line) * scale
    return amounts


def _shifts(before: Formula, after: Formula, name: str, pantry: Pantry) -> list[Shift]:
    was, now = _holds(before, name, pantry), _holds(after, name, pantry)
    return [Shift(name, what, was[0], was[1][what], now[1][what]) for what in REPORTED]


def _holds(formula: Formula, name: str, pantry: Pantry) -> tuple[str, dict[str, float]]:
    masses = unit_amounts(formula, pantry, pieces=1).ingredients(name)
    flour_g = flour_in(masses, formula, pantry)
    ground_g = flour_g or math.fsum(masses.values())
    held = {w: 100 * nutrients.brought(masses, pantry, KEPT[w]).mass_g / ground_g for w in REPORTED}
    return ("flour" if flour_g else "mass"), held
