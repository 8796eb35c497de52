"""Baker's percentages to masses and back, for parts that feed one another.

Flour inside a preferment counts as flour. What counts as flour comes from the pantry. Percentages are read as
proportions: flours that add up to 92 still make a dough (the audit says so), and ``percentages`` gives them on
what the flour truly is.

Source: definitions of baker's percentage on total flour and of prefermented flour are common practice of the
trade; the arithmetic is exact.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula, Line, Part
from smallhours.bakery.formula.piece import divided_mass_g
from smallhours.bakery.formula.shares import PartShares, part_shares
from smallhours.bakery.formula.sizes import part_masses, roots
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput, NotFound, OutOfRange


@dataclass(frozen=True)
class LineAmount:
    """One line and its mass. ``key``: the ingredient's key, or the id of the part it brings in."""

    line: Line
    key: str
    mass_g: float


@dataclass(frozen=True)
class PartAmount:
    """One part, its whole mass (also what other parts take of it) and its lines."""

    part: Part
    mass_g: float
    lines: tuple[LineAmount, ...]


@dataclass(frozen=True)
class Amounts:
    """A formula in masses.

    ``flour_g``: all flour of the main part, with the flour inside the parts that feed it. ``pieces``: the whole
    number of pieces these amounts are for, if they are for a number of pieces.
    """

    formula: Formula
    parts: dict[str, PartAmount]
    flour_g: float
    pieces: int | None

    def ingredients(self, part_id: str | None = None) -> dict[str, float]:
        """Masses (g) of the ingredients of one part, or of the whole formula, with parts inside opened.

        Raises: NotFound if there is no such part.
        """
        if part_id is not None and part_id not in self.parts:
            raise NotFound(f"formula {self.formula.id!r} has no part {part_id!r} (there are: {', '.join(self.parts)})")
        wanted = [part_id] if part_id is not None else roots(self.formula)
        total: dict[str, float] = {}
        for name in wanted:
            for key, mass in self._opened(name, self.parts[name].mass_g):
                total[key] = total.get(key, 0.0) + mass
        return total

    def _opened(self, part_id: str, mass_g: float) -> Iterator[tuple[str, float]]:
        part = self.parts[part_id]
        share = mass_g / part.mass_g if part.mass_g > 0 else 0.0
        for amount in part.lines:
            if amount.line.part is None:
                yield amount.key, amount.mass_g * share
            else:
                yield from self._opened(amount.key, amount.mass_g * share)

    @property
    def total_g(self) -> float:
        """What the whole formula weighs, each part once."""
        return math.fsum(self.parts[name].mass_g for name in roots(self.formula))


def unit_amounts(
    formula: Formula, pantry: Pantry, main_mass_g: float = 1000.0, pieces: int | None = None, pans: int | None = None
) -> Amounts:
    """Every part of a (joined) formula in masses, for ``main_mass_g`` of its main part.

    ``pieces`` and ``pans`` size what is given per piece and per pan. Without them, pieces are the main part's
    mass over the mass of a piece as divided (a fraction of a piece then counts as such).

    Raises: PartCycle if a part feeds itself; NotFound for an unknown ingredient; DocumentError if percentages
    stand on no flour; OutOfRange if more comes in with a preferment than the formula holds, or for a mass
    that is negative or not finite; BadInput if a part is sized per piece and nothing says how large a piece is.
    """
    if not (math.isfinite(main_mass_g) and main_mass_g >= 0):
        raise OutOfRange(f"the mass of the main part must be 0 g or more (found {main_mass_g})")
    shares = part_shares(formula, pantry)
    count = _pieces(formula, shares, main_mass_g, pieces)
    trays = float(pans) if pans is not None else _pans(formula, count, pieces is not None)
    masses = part_masses(formula, shares, main_mass_g, count, trays)
    parts = {
        part.id: PartAmount(
            part,
            masses[part.id],
            tuple(
                LineAmount(line, line.ingredient or line.part or "", share * masses[part.id])
                for line, share in zip(part.lines, shares[part.id].lines, strict=True)
            ),
        )
        for part in formula.parts
    }
    return Amounts(formula, parts, masses[formula.main] * shares[formula.main].flour, pieces)


def percentages(formula: Formula, pantry: Pantry, part_id: str | None, basis: str = "part") -> dict[str, float]:
    """Percentages of a part on a named basis, in percent.

    ``basis``: ``"part"``, its lines on its own flour (all flour in it, if its own lines name none);
    ``"total"``, its ingredients, parts inside opened, on all flour of the formula; ``"mass"``, its lines on its
    own mass; or the key of one of its lines. ``part_id`` None: the whole formula with fillings and all (then
    the basis is ``"total"`` or ``"mass"``).

    Raises: BadInput if there is nothing to stand on; NotFound for an unknown part; and as ``unit_amounts``.
    """
    in_the_dough = part_id is not None and (part_id == formula.main or part_id not in roots(formula))
    amounts = unit_amounts(formula, pantry, pieces=1 if in_the_dough else None)  # its size then does not matter
    if part_id is None:
        if basis not in ("total", "mass"):
            raise BadInput(f"the whole formula is shown on 'total' or 'mass', not on {basis!r}")
        rows = amounts.ingredients()
        ground = amounts.flour_g if basis == "total" else amounts.total_g
        return _on(rows, ground, f"formula {formula.id!r}", basis)
    opened = amounts.ingredients(part_id)
    if basis == "total":
        return _on(opened, amounts.flour_g, f"formula {formula.id!r}", "all its flour")
    rows = {}
    for amount in amounts.parts[part_id].lines:
        rows[amount.key] = rows.get(amount.key, 0.0) + amount.mass_g
    where = f"part {part_id!r} of formula {formula.id!r}"
    if basis == "mass":
        return _on(rows, amounts.parts[part_id].mass_g, where, "its mass")
    if basis == "part":
        own = flour_in(rows, formula, pantry)
        return _on(rows, own or flour_in(opened, formula, pantry), where, "its flour")
    if basis not in rows:
        raise BadInput(f"{where}: {basis!r} is not a basis: use 'part', 'total', 'mass' or one of {', '.join(rows)}")
    return _on(rows, rows[basis], where, basis)


def prefermented_percent(formula: Formula, pantry: Pantry) -> float:
    """The share of all flour of the main part that comes in with preferments, in percent (0 without flour)."""
    amounts = unit_amounts(formula, pantry, pieces=1)
    if amounts.flour_g <= 0:
        return 0.0
    inside = 0.0
    for amount in amounts.parts[formula.main].lines:
        if amount.line.part is not None and formula.part(amount.key).kind == "preferment":
            unit = amounts.parts[amount.key]
            flour = flour_in(amounts.ingredients(amount.key), formula, pantry)
            inside += flour * amount.mass_g / unit.mass_g if unit.mass_g > 0 else 0.0
    return 100.0 * inside / amounts.flour_g


def flour_in(masses: dict[str, float], formula: Formula, pantry: Pantry) -> float:
    """How much of these masses (g, by ingredient key) counts as flour; ids of parts do not."""
    parts = {part.id for part in formula.parts}
    return math.fsum(m for key, m in masses.items() if key not in parts and pantry.find(key).counts_as_flour)


def _on(rows: dict[str, float], ground_g: float, where: str, basis: str) -> dict[str, float]:
    if ground_g <= 0:
        raise BadInput(f"{where} cannot be shown on {basis}: there is none of it")
    return {key: 100.0 * mass / ground_g for key, mass in rows.items()}


def _pieces(formula: Formula, shares: dict[str, PartShares], main_mass_g: float, pieces: int | None) -> float | None:
    if pieces is not None:
        return float(pieces)
    return None if formula.output is None else main_mass_g / divided_mass_g(formula, shares)


def _pans(formula: Formula, pieces: float | None, whole: bool) -> float | None:
    if pieces is None:
        return None
    pans = pieces / formula.pieces_per_pan
    return float(math.ceil(pans - 1e-9)) if whole else pans
