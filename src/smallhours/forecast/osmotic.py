"""How much slower a dough's yeast works with other sugar and salt than its formula has: a ratio to the formula's own.

What counts is how hard the dough's water draws on the cells (``science.dough_water``). Counted are the sugars that
dissolve: sugar, honey and syrups, and milk's own; what fruit and chocolate keep inside is not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import Amounts, flour_in
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.errors import BadInput
from smallhours.forecast.ensemble import Ensemble
from smallhours.reference.fermentation import flour_water, solute
from smallhours.science.dough_water import dough_water_activity_ratios, osmotic_factors, osmotic_pressures_kpa

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# sugars that are glucose and fructose already (common practice)
_SIMPLE = ("honey", "invert", "glucose", "dextrose", "corn-syrup", "agave")


@dataclass(frozen=True)
class Dissolved:
    """What a dough's water holds, in percent of flour: water that was added, salt, and sugars by kind."""

    water_percent: float
    salt_percent: float
    sucrose_percent: float
    hexose_percent: float
    lactose_percent: float

    @property
    def pressure_kpa(self) -> float:
        """How hard it draws on the water in a yeast cell. Raises OutOfRange for what cannot be a dough."""
        ratio = dough_water_activity_ratios(
            self.water_percent,
            self.salt_percent,
            self.sucrose_percent,
            solute("hexose").norrish_factor,
            flour_water().solutes_mol_per_kg,
            self.hexose_percent,
            self.lactose_percent,
            solute("lactose"),
        )
        return float(osmotic_pressures_kpa(ratio))


def dissolved(
    amounts: Amounts,
    pantry: Pantry,
    part_id: str,
    sugar_percent: float | None = None,
    salt_percent: float | None = None,
) -> Dissolved:
    """What a part's water holds; ``sugar_percent``, ``salt_percent``: with so much of each, as weighed, on all flour.

    Other sugar is of the kinds that the formula has, in their proportions; sucrose if it has none.
    Raises: BadInput for a part without flour.
    """
    masses = amounts.ingredients(part_id)
    flour_g = flour_in(masses, amounts.formula, pantry)
    if flour_g <= 0:
        raise BadInput(f"part {part_id!r} of formula {amounts.formula.id!r} has no flour: nothing stands on it")
    shares = {key: 100.0 * mass / flour_g for key, mass in masses.items()}
    changed = _with(_with(shares, pantry, "sugar", sugar_percent), pantry, "salt", salt_percent)
    held = {"water": 0.0, "salt": 0.0, "sucrose": 0.0, "hexose": 0.0, "lactose": 0.0}
    for key, percent in changed.items():
        stuff = pantry.find(key)
        if not stuff.counts_as_flour:
            _add(held, stuff, percent)
    return Dissolved(*(held[name] for name in ("water", "salt", "sucrose", "hexose", "lactose")))


def slowed_factors(own: Dissolved, changed: Dissolved, ensemble: Ensemble) -> Floats:
    """How many times as fast as in its own dough yeast works in the changed one, (members,).

    Source: ``science.dough_water.osmotic_factors``; what the yeast stands is drawn (table yeast_strength).
    """
    return osmotic_factors(changed.pressure_kpa, own.pressure_kpa, ensemble.values("osmotic"))


def of_kind_percent(amounts: Amounts, pantry: Pantry, part_id: str, kind: str) -> float:
    """How much of the ingredients of a kind (``sugar``, ``salt``) a part has, as weighed, in percent of its flour."""
    masses = amounts.ingredients(part_id)
    flour_g = flour_in(masses, amounts.formula, pantry)
    own_g = sum(mass for key, mass in masses.items() if pantry.find(key).kind == kind)
    return 100.0 * own_g / flour_g if flour_g > 0 else 0.0


def _with(shares: Mapping[str, float], pantry: Pantry, kind: str, percent: float | None) -> dict[str, float]:
    """The same with another percentage of all ingredients of a kind."""
    if percent is None:
        return dict(shares)
    own = sum(value for key, value in shares.items() if pantry.find(key).kind == kind)
    if own <= 0.0:
        return {**shares, kind: percent}
    return {k: value * percent / own if pantry.find(k).kind == kind else value for k, value in shares.items()}


def _add(held: dict[str, float], stuff: Stuff, percent: float) -> None:
    known = stuff.composition
    held["water"] += percent * (known.water_fraction or 0.0)
    if stuff.kind == "salt":
        held["salt"] += percent
    elif stuff.kind != "leavening":
        held["salt"] += percent * (known.salt_fraction or 0.0)
    sugars = percent * (known.sugars_fraction or 0.0)
    name = stuff.like or stuff.key
    if stuff.kind == "sugar":
        simple = any(word in name for word in _SIMPLE)
        held["hexose" if simple else "sucrose"] += sugars
    elif "milk" in stuff.allergens and stuff.kind in ("dairy", "dairy-powder", "fat"):
        held["lactose"] += sugars
