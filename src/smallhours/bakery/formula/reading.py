"""One formula read for its checks: amounts, what the dough holds, and where its lines and stages are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from smallhours.bakery.formula.amounts import Amounts, LineAmount, flour_in, unit_amounts
from smallhours.bakery.formula.balance import Balance, balance
from smallhours.bakery.formula.document import Formula, Part, Stage
from smallhours.bakery.pantry import Pantry


@dataclass(frozen=True)
class Reading:
    """A (joined) formula with what several checks need; each thing is worked out once, when first asked for."""

    formula: Formula
    pantry: Pantry

    @cached_property
    def amounts(self) -> Amounts:
        """Amounts for 1 kg of the main part; per-piece parts for one piece if no piece is named."""
        return unit_amounts(self.formula, self.pantry, pieces=1 if self.formula.output is None else None)

    @cached_property
    def held(self) -> Balance | None:
        """What the main part holds on its flour; None without flour."""
        return balance(self.formula, self.pantry) if self.amounts.flour_g > 0 else None

    @property
    def main(self) -> Part:
        """The main part."""
        return self.formula.part(self.formula.main)

    @property
    def yeasted(self) -> bool:
        """Whether yeast raises the dough (also one that lives in a preferment)."""
        held = self.held
        return held is not None and (held.yeast_percent > 0 or any(p.kind == "preferment" for p in self.formula.parts))

    @property
    def laminated(self) -> bool:
        """Whether butter is folded in."""
        return self.held is not None and "laminated" in self.held.flags

    def butter_percent(self) -> float:
        """Solid fat (butter, margarine, lard, shortening) in the main part, in percent of its flour, as weighed."""
        solid = {key: m for key, m in self.amounts.ingredients(self.formula.main).items() if self.solid_fat(key)}
        return 100.0 * sum(solid.values()) / self.amounts.flour_g if self.amounts.flour_g > 0 else 0.0

    def solid_fat(self, key: str) -> bool:
        """Whether an ingredient is a fat that does not pour."""
        stuff = self.pantry.find(key)
        return stuff.kind == "fat" and not stuff.liquid

    def flour_g(self, part_id: str) -> float:
        """Flour in a part, what is inside other parts counted, for these amounts."""
        return flour_in(self.amounts.ingredients(part_id), self.formula, self.pantry)

    def doughs(self) -> Iterator[Part]:
        """Parts of kind dough or batter with flour in their own lines."""
        for part in self.formula.parts:
            lines = (line.ingredient for line in part.lines if line.ingredient)
            if part.kind in ("dough", "batter") and any(self.pantry.find(key).counts_as_flour for key in lines):
                yield part

    def rows(self, part: Part) -> Iterator[tuple[LineAmount, float]]:
        """A part's lines with their percent on the flour in it."""
        flour_g = self.flour_g(part.id)
        for amount in self.amounts.parts[part.id].lines:
            yield amount, 100.0 * amount.mass_g / flour_g if flour_g > 0 else 0.0

    def stages(self, *kinds: str) -> Iterator[tuple[int, Stage]]:
        """Stages of the main part of these kinds, with their number in the document (from 1)."""
        for number, stage in enumerate(self.formula.stages, 1):
            if (stage.part or self.formula.main) == self.formula.main and stage.kind in kinds:
                yield number, stage
