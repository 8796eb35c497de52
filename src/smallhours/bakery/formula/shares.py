"""What one gram of each part is made of: its lines as shares, solved exactly, from the innermost part outwards.

A line's percent is a proportion on the part's basis. A line with ``flour_percent`` brings in another part with
that share of all flour. On the basis ``total`` a line's percent is what the whole part holds of that ingredient,
with what the parts inside it bring along; the line itself is the rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula, Line, Part
from smallhours.bakery.formula.structure import cycles
from smallhours.bakery.pantry import Pantry
from smallhours.errors import DocumentError, Fault, NotFound, OutOfRange, PartCycle


@dataclass(frozen=True)
class PartShares:
    """One gram of a part. ``lines``: grams per line, in the part's order; ``opened``: grams per ingredient with
    parts inside opened; ``flour``: grams of flour among them."""

    lines: tuple[float, ...]
    opened: dict[str, float]
    flour: float


def part_shares(formula: Formula, pantry: Pantry) -> dict[str, PartShares]:
    """Shares of every part of a (joined) formula, by part id.

    Raises: PartCycle, NotFound (unknown ingredient or part), DocumentError (percentages without flour, nothing in
    a part), OutOfRange (more comes in with a preferment than there is, with the limit).
    """
    rings = list(cycles(formula.parts))
    if rings:
        raise PartCycle(f"formula {formula.id!r}", rings)
    done: dict[str, PartShares] = {}
    for part in formula.parts:
        _solve(formula, part, pantry, done)
    return done


def _solve(formula: Formula, part: Part, pantry: Pantry, done: dict[str, PartShares]) -> PartShares:
    if part.id in done:
        return done[part.id]
    inside: dict[str, PartShares] = {}
    for line in part.lines:
        if line.part is not None:
            try:
                child = formula.part(line.part)
            except KeyError:
                raise NotFound(f"{_where(formula, part)} names the part {line.part!r}, which is not there") from None
            inside[line.part] = _solve(formula, child, pantry, done)
    flours = {key for key in _keys(part, inside) if pantry.find(key).counts_as_flour}
    points = _Points(formula, part, inside, flours).solved()
    total = math.fsum(points)
    if total <= 0:
        raise DocumentError(f"formula {formula.id!r}", [Fault(f"part {part.id!r}", "there is nothing in it")])
    opened: dict[str, float] = {}
    for line, point in zip(part.lines, points, strict=True):
        content = {line.ingredient: 1.0} if line.ingredient else inside[line.part or ""].opened
        for key, share in content.items():
            opened[key] = opened.get(key, 0.0) + share * point / total
    flour = math.fsum(share for key, share in opened.items() if key in flours)
    done[part.id] = PartShares(tuple(point / total for point in points), opened, flour)
    return done[part.id]


def _keys(part: Part, inside: dict[str, PartShares]) -> set[str]:
    own = {line.ingredient for line in part.lines if line.ingredient}
    return own.union(*(shares.opened for shares in inside.values()))


def _where(formula: Formula, part: Part) -> str:
    return f"formula {formula.id!r}, part {part.id!r}"


@dataclass(frozen=True)
class _Points:
    """The lines of one part in proportion to one another ("points": parts of flour, where there is flour)."""

    formula: Formula
    part: Part
    inside: dict[str, PartShares]
    flours: set[str]

    def solved(self) -> list[float]:
        """Points of each line. All flour T solves T = own flour + flour brought in, which is linear in T."""
        lines = self.part.lines
        self._check()
        given = [_given(line) for line in lines]
        overall = self.part.percent_on == "total"
        share = sum(line.flour_percent or 0.0 for line in lines) / 100.0
        own = math.fsum(g for line, g in zip(lines, given, strict=True) if line.ingredient in self.flours)
        fixed, per_flour = own, 0.0
        for line, points in zip(lines, given, strict=True):
            if line.part is not None:
                brought = self._unlisted_flour(line) if overall else self.inside[line.part].flour
                fixed += points * brought
                per_flour += self._mass_per_flour(line) * brought
        flour = self._all_flour(fixed, per_flour, share)
        points_of = [g + flour * self._mass_per_flour(line) for line, g in zip(lines, given, strict=True)]
        return self._less_what_is_inside(points_of, fixed, per_flour, share) if overall else points_of

    def _check(self) -> None:
        part = self.part
        if any(line.mass_g is not None for line in part.lines):
            return
        carried = any(shares.flour > 0 for shares in self.inside.values())
        has_flour = carried or any(line.ingredient in self.flours and _given(line) > 0 for line in part.lines)
        on_flour = part.percent_on == "part" or (part.percent_on == "total" and part.id == self.formula.main)
        if on_flour and not has_flour:
            raise DocumentError(
                f"formula {self.formula.id!r}",
                [
                    Fault(
                        f"part {part.id!r}",
                        "its percentages stand on flour, but there is no flour in it; write percent_on = 'mass' or "
                        "the ingredient on which they stand",
                    )
                ],
            )
        for line in part.lines:
            if line.flour_percent and self.inside[line.part or ""].flour <= 0:
                raise DocumentError(
                    f"formula {self.formula.id!r}",
                    [Fault(f"part {part.id!r}", f"{line.part!r} carries no flour; give it a percent instead")],
                )

    def _mass_per_flour(self, line: Line) -> float:
        """Mass of a part brought in by ``flour_percent``, per unit of all flour."""
        if not line.flour_percent:
            return 0.0
        return line.flour_percent / 100.0 / self.inside[line.part or ""].flour

    def _listed(self) -> dict[str, float]:
        """Points that the lines give for each ingredient, several lines of one ingredient together."""
        total: dict[str, float] = {}
        for line in self.part.lines:
            if line.ingredient is not None:
                total[line.ingredient] = total.get(line.ingredient, 0.0) + _given(line)
        return total

    def _unlisted_flour(self, line: Line) -> float:
        listed = self._listed()
        opened = self.inside[line.part or ""].opened
        return math.fsum(s for key, s in opened.items() if key in self.flours and key not in listed)

    def _all_flour(self, fixed: float, per_flour: float, share: float) -> float:
        if share == 0:
            return fixed
        if self.part.percent_on != "total" and fixed <= 1e-12 and math.isclose(share, 1.0, rel_tol=1e-9):
            return 100.0  # all flour comes in with other parts; the other lines are percent of it
        if share > 1 + 1e-12 or per_flour >= 1 - 1e-12:
            raise OutOfRange(
                f"{_where(self.formula, self.part)}: {100 * share:g} % of the flour would come in with other parts, "
                f"beside flour of its own; the shares of flour must stay under 100 %"
            )
        if fixed <= 1e-12:
            raise OutOfRange(
                f"{_where(self.formula, self.part)}: {100 * share:g} % of the flour comes in with other parts and "
                f"there is no other flour; the shares of flour must then be 100 %"
            )
        return fixed / (1.0 - per_flour)

    def _less_what_is_inside(self, points: list[float], fixed: float, per_flour: float, share: float) -> list[float]:
        """Take from each ingredient what the parts inside bring of it; several lines give in proportion."""
        listed = self._listed()
        inside: dict[str, float] = {}
        for line, point in zip(self.part.lines, points, strict=True):
            for key, s in self.inside[line.part].opened.items() if line.part else ():
                inside[key] = inside.get(key, 0.0) + s * point
        for key, whole in listed.items():
            if inside.get(key, 0.0) > whole * (1 + 1e-9) + 1e-9:
                raise OutOfRange(self._too_much(key, whole, inside[key], fixed, per_flour, share))
        return [
            point * max(0.0, 1.0 - inside.get(line.ingredient, 0.0) / listed[line.ingredient])
            if line.ingredient and listed[line.ingredient] > 0
            else point
            for line, point in zip(self.part.lines, points, strict=True)
        ]

    def _too_much(self, key: str, whole: float, inside: float, fixed: float, per_flour: float, share: float) -> str:
        """The sentence with the largest share of flour that could come in with other parts."""
        sentence = (
            f"{_where(self.formula, self.part)}: {inside:.4g} % of {key} comes in with other parts, but the whole "
            f"holds {whole:.4g} %, so {whole - inside:.4g} % would be left to add"
        )
        by_share = math.fsum(
            self._mass_per_flour(line) * self.inside[line.part].opened.get(key, 0.0)
            for line in self.part.lines
            if line.part
        )
        by_percent = math.fsum(
            _given(line) * self.inside[line.part].opened.get(key, 0.0) for line in self.part.lines if line.part
        )
        left = whole - by_percent
        if by_share <= 0 or left < 0:
            return sentence + "; take less of those parts, or more of it on the whole"
        most = share * left / (fixed * by_share + per_flour * left)
        return sentence + f"; at most {100 * most:.4g} % of the flour can come in with other parts"


def _given(line: Line) -> float:
    return line.mass_g if line.mass_g is not None else (line.percent or 0.0)
