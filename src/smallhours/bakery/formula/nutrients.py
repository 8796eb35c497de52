"""What ingredients bring into a formula: water, fat, sugar, milk solids, egg, salt, yeast, with what is not known."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from smallhours.bakery.formula.yeast import instant_equivalent
from smallhours.bakery.pantry import Pantry, Stuff

_SALTED_FRACTION = 0.01
_SALT_OF_THEIR_OWN = frozenset({"egg", "dairy-powder", "leavening", "flour"})
_DRIED_EGG_WATER_FRACTION = 0.3
# solids of fluid egg, g per g: whole 23.85 %, white 12.43 % (USDA SR28 rows 01123 and 01124)
_EGG_SOLIDS, _WHITE_SOLIDS = 0.2385, 0.1243

Share = Callable[[Stuff], float | None]


@dataclass(frozen=True)
class Brought:
    """Grams of one thing that ingredients bring in; ``unknown``: keys of ingredients that do not say."""

    mass_g: float
    unknown: tuple[str, ...] = ()


def water(stuff: Stuff) -> float | None:
    """Water per gram."""
    return stuff.composition.water_fraction


def fat(stuff: Stuff) -> float | None:
    """Fat per gram."""
    return stuff.composition.fat_fraction


def sugar(stuff: Stuff) -> float | None:
    """Sugars per gram, milk sugar included; salt, yeast and leavening hold none worth counting."""
    if stuff.kind in ("salt", "leavening", "yeast"):
        return 0.0
    return stuff.composition.sugars_fraction


def milk_solids(stuff: Stuff) -> float | None:
    """Fat-free solids of milk per gram."""
    return stuff.milk_solids_fraction if "milk" in stuff.allergens else 0.0


def solids(stuff: Stuff) -> float | None:
    """All that is not water (or alcohol) per gram."""
    return stuff.composition.solids_fraction()


def salt(stuff: Stuff) -> float | None:
    """Salt that was added, per gram: salt itself, and in what is salted (butter, cheese, olives).

    The little that egg, milk powder and flour hold by nature is not what a baker means by salt and is left out.
    """
    if stuff.kind == "salt":
        return 1.0
    if stuff.kind in _SALT_OF_THEIR_OWN:
        return 0.0
    share = stuff.composition.salt_fraction
    if share is None:
        return None
    return share if share >= _SALTED_FRACTION else 0.0


def egg(stuff: Stuff) -> float | None:
    """Fluid egg per gram; dried egg as the fluid egg that has its solids."""
    if stuff.kind != "egg":
        return 0.0
    left = stuff.composition.water_fraction
    if left is None or left >= _DRIED_EGG_WATER_FRACTION:
        return 1.0
    white = "white" in (stuff.like or stuff.key)
    return (1.0 - left) / (_WHITE_SOLIDS if white else _EGG_SOLIDS)


def yeast(stuff: Stuff) -> float | None:
    """Instant yeast that does the same work, per gram."""
    return instant_equivalent(stuff)


def poured(stuff: Stuff) -> float | None:
    """Whether it is a liquid that wets the flour (oil and extracts are not), per gram."""
    return 1.0 if stuff.liquid and stuff.kind in ("liquid", "dairy", "egg") else 0.0


def brought(masses: Mapping[str, float], pantry: Pantry, share: Share, flour_too: bool = False) -> Brought:
    """How much the ingredients (g, by key) bring of what ``share`` counts.

    Flour's own water, fat and sugar are left out unless ``flour_too``: the trade reckons on flour as it is.
    """
    total, unknown = 0.0, []
    for key, mass_g in masses.items():
        stuff = pantry.find(key)
        if mass_g <= 0 or (stuff.counts_as_flour and not flour_too):
            continue
        part = share(stuff)
        if part is None:
            unknown.append(key)
        else:
            total += part * mass_g
    return Brought(total, tuple(unknown))
