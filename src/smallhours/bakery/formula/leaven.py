"""What raises a dough: baker's yeast, a sourdough culture, or both.

A culture is an ingredient (``sourdough-culture``, or one of the bakery's own like it) that a preferment is fed with.
What has ripened with it is culture itself: all flour of a levain counts as culture in the dough it goes into. The
flour inside the seed does not count in the 100 of a formula, but it does in the shares here.
"""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.bakery.formula.amounts import Amounts, flour_in
from smallhours.bakery.formula.yeast import INSTANT_PER_GRAM, instant_equivalent, yeast_form
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.reference.ingredients import ingredient

CULTURE = "culture"


@dataclass(frozen=True)
class Leaven:
    """What raises a part.

    ``yeast_percent``: baker's yeast as fresh yeast; ``culture_percent``: flour that came in as ripe culture; both in
    percent of all flour in the part, a culture's own included.
    """

    yeast_percent: float = 0.0
    culture_percent: float = 0.0

    @property
    def living(self) -> bool:
        """Whether anything raises it."""
        return self.yeast_percent > 0.0 or self.culture_percent > 0.0


def raises(stuff: Stuff) -> bool:
    """Whether an ingredient raises a dough with time: yeast or a culture."""
    return yeast_form(stuff) is not None or stuff.kind == CULTURE


def leaven_of(amounts: Amounts, pantry: Pantry, part_id: str) -> Leaven:
    """What raises one part of a formula, with all that feeds it.

    Raises: NotFound if there is no such part. Source: masses.
    """
    flour_g, culture_g, yeast_g = _brought(amounts, pantry, part_id)
    if flour_g <= 0.0:
        return Leaven()
    return Leaven(100.0 * yeast_g / flour_g, 100.0 * culture_g / flour_g)


def culture_flour_fraction(stuff: Stuff) -> float:
    """How much of a culture's mass is flour: what its water leaves, in flour of usual moisture.

    Half, if its composition is not known: equal masses of flour and water are common practice.
    """
    wet, dry = ingredient("water").composition.water_fraction, ingredient("bread-flour").composition.water_fraction
    own = stuff.composition.water_fraction
    if own is None or wet is None or dry is None:
        return 0.5
    return min(max((wet - own) / (wet - dry), 0.05), 1.0)


def _brought(amounts: Amounts, pantry: Pantry, part_id: str) -> tuple[float, float, float]:
    """Flour, flour of culture and fresh yeast (g) in a part."""
    opened = amounts.ingredients(part_id)
    seeds = {key: mass for key, mass in opened.items() if pantry.find(key).kind == CULTURE}
    seed_g = sum(mass * culture_flour_fraction(pantry.find(key)) for key, mass in seeds.items())
    fresh = INSTANT_PER_GRAM["yeast-fresh"]
    yeast_g = sum(instant_equivalent(pantry.find(key), mass) for key, mass in opened.items()) / fresh
    flour_g = flour_in(opened, amounts.formula, pantry) + seed_g
    culture_g = 0.0
    for line in amounts.parts[part_id].lines:
        if line.line.part is None:
            stuff = pantry.find(line.key)
            culture_g += line.mass_g * culture_flour_fraction(stuff) if stuff.kind == CULTURE else 0.0
            continue
        fed = amounts.parts[line.key]
        inside_g, of_culture_g, _ = _brought(amounts, pantry, line.key)
        if fed.mass_g > 0 and of_culture_g > 0:
            ripe = fed.part.kind == "preferment"
            culture_g += (inside_g if ripe else of_culture_g) * line.mass_g / fed.mass_g
    return flour_g, culture_g, yeast_g
