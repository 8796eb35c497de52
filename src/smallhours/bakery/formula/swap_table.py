"""The swaps a bakery makes when something is short, and what each of them has to keep.

What it takes of each follows from compositions, not from fixed factors. Sources of the compositions: the pantry's
(USDA SR28); of the yeast ratios: J. Hamelman, Bread (2004). The remarks are common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from smallhours.bakery.formula import nutrients
from smallhours.bakery.formula.nutrients import Share


@dataclass(frozen=True)
class Gives:
    """What comes in. ``keeps``: what its amount is solved on. ``evens_out``: it only makes up the difference, so it
    may also be taken away from what the part already has."""

    key: str
    keeps: str
    evens_out: bool = False


@dataclass(frozen=True)
class Swap:
    """One swap: any of ``takes`` goes out, ``gives`` come in. ``remark``: what the numbers do not show."""

    id: str
    takes: tuple[str, ...]
    gives: tuple[Gives, ...]
    remark: str = ""


KEPT: Mapping[str, Share] = MappingProxyType(
    {
        "water": nutrients.water,
        "fat": nutrients.fat,
        "sugar": nutrients.sugar,
        "salt": nutrients.salt,
        "milk solids": nutrients.milk_solids,
        "solids": nutrients.solids,
        "yeast": nutrients.yeast,
    }
)
OILS = ("oil-sunflower", "oil-canola", "oil-olive", "oil-soybean")
_WATER = Gives("water", "water", evens_out=True)
_BUTTER = Gives("butter-unsalted", "fat", evens_out=True)
_SALT = Gives("salt", "salt", evens_out=True)
_ACID = "buttermilk is acid: in what baking powder raises, part of the powder becomes baking soda"
_OIL = "oil holds no air and does not firm up when cold: the dough is softer to shape"
_YOLK = "the white's protein is missing: the crumb is shorter"
_YEASTS = ("yeast-fresh", "yeast-active-dry", "yeast-instant")
_HOW_YEAST = {
    "yeast-fresh": "crumble it into the liquid",
    "yeast-active-dry": "dissolve it at 40 to 43 °C in some of the liquid",
    "yeast-instant": "mix it into the flour",
}

_ALL = (
    Swap("milk-to-buttermilk", ("milk-whole",), (Gives("buttermilk", "water"), _BUTTER), _ACID),
    Swap("buttermilk-to-milk", ("buttermilk",), (Gives("milk-whole", "water"), _BUTTER), _ACID),
    Swap("brown-sugar-to-white", ("sugar-brown",), (Gives("sugar", "sugar"), Gives("molasses", "water"))),
    Swap("white-sugar-to-brown", ("sugar",), (Gives("sugar-brown", "sugar"), _WATER), "it browns sooner"),
    Swap("butter-to-oil", ("butter-unsalted",), (Gives("oil-sunflower", "fat"), _WATER), _OIL),
    Swap("butter-to-shortening", ("butter-unsalted",), (Gives("shortening", "fat"), _WATER), "it tastes of less"),
    Swap("oil-to-butter", OILS, (Gives("butter-unsalted", "fat"), _WATER), "much butter waits for the gluten"),
    Swap("salted-butter-to-unsalted", ("butter-salted",), (Gives("butter-unsalted", "fat"), _SALT, _WATER)),
    Swap("unsalted-butter-to-salted", ("butter-unsalted",), (Gives("butter-salted", "fat"), _SALT, _WATER)),
    Swap("egg-to-yolk", ("egg-whole",), (Gives("egg-yolk", "fat"), _WATER), _YOLK),
    Swap("yolk-to-egg", ("egg-yolk",), (Gives("egg-whole", "fat"), _WATER), "the white makes the crumb firmer"),
    Swap("egg-to-dried", ("egg-whole",), (Gives("egg-powder", "solids"), _WATER)),
    Swap("dried-egg-to-fluid", ("egg-powder",), (Gives("egg-whole", "solids"), _WATER)),
    Swap("milk-to-dried", ("milk-whole",), (Gives("milk-powder-whole", "solids"), _WATER)),
    Swap("dried-milk-to-fluid", ("milk-powder-whole",), (Gives("milk-whole", "solids"), _WATER)),
    Swap("milk-to-skim-powder", ("milk-whole",), (Gives("milk-powder-skim", "milk solids"), _BUTTER, _WATER)),
    Swap("skim-milk-to-powder", ("milk-skim",), (Gives("milk-powder-skim", "milk solids"), _WATER)),
    Swap("skim-powder-to-milk", ("milk-powder-skim",), (Gives("milk-skim", "milk solids"), _WATER)),
    Swap("sugar-to-honey", ("sugar",), (Gives("honey", "sugar"), _WATER), "honey browns sooner and tastes of itself"),
    Swap("honey-to-sugar", ("honey",), (Gives("sugar", "sugar"), _WATER), "it browns later"),
    *(
        Swap(f"{a.removeprefix('yeast-')}-yeast-to-{b.removeprefix('yeast-')}", (a,), (Gives(b, "yeast"), _WATER), how)
        for a in _YEASTS
        for b, how in _HOW_YEAST.items()
        if a != b
    ),
)
SWAPS: Mapping[str, Swap] = MappingProxyType({swap.id: swap for swap in _ALL})
