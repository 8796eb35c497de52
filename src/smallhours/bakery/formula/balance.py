"""What a dough truly holds on its flour, and how rich that makes it.

Sources: the class limits (fat and sugar together under 5, 20, 50 % of flour), egg dough from 20 % egg, and the weights
of the softness figure are common practice and first guesses; compositions are the pantry's (USDA SR28).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from smallhours.bakery.formula import nutrients
from smallhours.bakery.formula.amounts import flour_in, unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput

DoughClass = Literal["lean", "enriched", "rich", "very rich"]
Stiffness = Literal["stiff", "medium", "wet"]

EGG_DOUGH_PERCENT = 20.0
_CLASSES: tuple[tuple[float, DoughClass], ...] = ((5.0, "lean"), (20.0, "enriched"), (50.0, "rich"))
_DUST = 1e-9
_STIFF_UNDER, _WET_FROM = 57.0, 70.0
_SOFTENING = 0.25  # points of water that one point of fat or sugar is worth for the hook (first guess)
_WHOLEGRAIN_TAKES = 15.0  # points of water that flour all of whole grain takes more (common practice: 15 to 20)


@dataclass(frozen=True)
class Balance:
    """What a part holds, in percent of all flour in it.

    ``water_percent``: all water but the flour's own; ``poured_liquid_percent``: what is poured (water, milk, egg), as
    weighed; ``yeast_percent``: as instant yeast; ``salt_percent``: salt that was added; ``egg_percent``: as fluid
    egg; ``wholegrain_percent``: share of the flour that is whole grain. ``flags``: ``laminated``, ``egg-dough``,
    ``chemically-leavened``. ``unknown``: what could not be counted, by quantity: keys of the ingredients whose
    composition does not say; the figure is then what is known, not the whole.
    """

    water_percent: float
    fat_percent: float
    sugar_percent: float
    milk_solids_percent: float
    egg_percent: float
    salt_percent: float
    yeast_percent: float
    poured_liquid_percent: float
    wholegrain_percent: float
    dough_class: DoughClass
    class_reason: str
    flags: tuple[str, ...]
    unknown: Mapping[str, tuple[str, ...]]


def balance(formula: Formula, pantry: Pantry, part_id: str | None = None) -> Balance:
    """What one part of a (joined) formula holds on its flour; the main part if none is named.

    Raises: BadInput if there is no flour in it; NotFound for an unknown part; and as ``unit_amounts``.
    """
    name = part_id or formula.main
    masses = unit_amounts(formula, pantry, pieces=1).ingredients(name)
    flour_g = flour_in(masses, formula, pantry)
    if flour_g <= 0:
        raise BadInput(f"formula {formula.id!r}, part {name!r}: there is no flour in it to reckon on")
    shares = {
        "water": nutrients.water,
        "fat": nutrients.fat,
        "sugar": nutrients.sugar,
        "milk_solids": nutrients.milk_solids,
        "egg": nutrients.egg,
        "salt": nutrients.salt,
        "yeast": nutrients.yeast,
        "poured_liquid": nutrients.poured,
    }
    found = {what: nutrients.brought(masses, pantry, share) for what, share in shares.items()}
    percent = {what: 100.0 * brought.mass_g / flour_g for what, brought in found.items()}
    unknown = {what: brought.unknown for what, brought in found.items() if brought.unknown}
    wholegrain_g = math.fsum(
        mass for key, mass in masses.items() if (stuff := pantry.find(key)).counts_as_flour and stuff.wholegrain
    )
    dough_class, reason = _class(percent["fat"], percent["sugar"], unknown)
    return Balance(
        **{f"{what}_percent": value for what, value in percent.items()},
        wholegrain_percent=100.0 * wholegrain_g / flour_g,
        dough_class=dough_class,
        class_reason=reason,
        flags=tuple(_flags(formula, pantry, masses, percent)),
        unknown=unknown,
    )


def softness(held: Balance) -> float:
    """Water that the hook feels, in points on flour: water, with fat and sugar as softeners, less what bran takes."""
    softeners = held.fat_percent + held.sugar_percent
    return held.water_percent + _SOFTENING * softeners - _WHOLEGRAIN_TAKES * held.wholegrain_percent / 100.0


def stiffness(held: Balance) -> Stiffness:
    """How a bowl has to be loaded: ``stiff`` under 57 points of softness, ``wet`` from 70."""
    points = softness(held)
    return "stiff" if points < _STIFF_UNDER else "wet" if points >= _WET_FROM else "medium"


def _class(fat: float, sugar: float, unknown: Mapping[str, tuple[str, ...]]) -> tuple[DoughClass, str]:
    both = fat + sugar
    found: DoughClass = "very rich"
    low, limit = 0.0, f"{_CLASSES[-1][0]:g} % or more"
    for top, name in _CLASSES:
        if both < top - _DUST:
            found, limit = name, f"{low:g} to {top:g} %" if low else f"under {top:g} %"
            break
        low = top
    sentence = f"fat {fat:.1f} % and sugar {sugar:.1f} % of flour are {both:.1f} %; {found} is {limit}"
    missing = sorted({*unknown.get("fat", ()), *unknown.get("sugar", ())})
    return found, sentence + (f" (not counted, composition unknown: {', '.join(missing)})" if missing else "")


def _flags(formula: Formula, pantry: Pantry, masses: Mapping[str, float], percent: Mapping[str, float]) -> list[str]:
    sheet = formula.shaping.sheet if formula.shaping else None
    flags = []
    if (sheet and sheet.folds) or any(part.kind == "roll-in" for part in formula.parts):
        flags.append("laminated")
    if percent["egg"] >= EGG_DOUGH_PERCENT - _DUST:
        flags.append("egg-dough")
    if percent["yeast"] == 0 and any(pantry.find(key).kind == "leavening" for key in masses):
        flags.append("chemically-leavened")
    return flags
