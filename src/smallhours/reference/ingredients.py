"""The reference ingredients: composition, kind, allergens and what a household measure of them weighs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from smallhours.errors import NotFound, OutOfRange
from smallhours.reference.table import Row, table
from smallhours.science.composition import SALT_PER_SODIUM, Composition

# US customary: 1 cup = 8 fl oz = 16 tbsp = 48 tsp. Source: NIST Handbook 44, Appendix C.
_PER_CUP: Mapping[str, float] = {"cup": 1.0, "fl oz": 8.0, "tbsp": 16.0, "tsp": 48.0}
_SPELLINGS: Mapping[str, str] = {
    "cups": "cup",
    "c": "cup",
    "tablespoon": "tbsp",
    "tablespoons": "tbsp",
    "teaspoon": "tsp",
    "teaspoons": "tsp",
    "fluid ounce": "fl oz",
    "fluid ounces": "fl oz",
    "pieces": "piece",
    "sticks": "stick",
    "packets": "packet",
    "cakes": "cake",
}


@dataclass(frozen=True)
class ReferenceIngredient:
    """An ingredient of the reference table.

    ``kind``: flour, liquid, dairy, dairy-powder, egg, fat, sugar, salt, yeast, culture, leavening, starch, spice,
    chocolate, nut, seed, fruit, vegetable or other. ``counts_as_flour``: part of the 100 of baker's percentage.
    ``liquid``: pourable, so its temperature can be chosen. ``allergens``: words such as ``wheat`` and ``gluten`` for
    the plain ingredient; the bag's own label decides. ``milk_solids_nonfat_fraction``: 0 without milk, None if not to
    be told. ``saturated_fat_fraction``, ``energy_kcal_per_100g``: as published. ``source`` and ``source_row``: from.
    """

    key: str
    name_en: str
    name_es: str
    kind: str
    counts_as_flour: bool
    wholegrain: bool
    liquid: bool
    allergens: tuple[str, ...]
    composition: Composition
    saturated_fat_fraction: float | None
    milk_solids_nonfat_fraction: float | None
    energy_kcal_per_100g: float | None
    source: str
    source_row: str
    note: str

    def name(self, language: str = "en") -> str:
        """The ingredient's name in English (``en``) or Spanish (``es``)."""
        return self.name_es if language == "es" else self.name_en


def _number(row: Row, column: str) -> float | None:
    value = row[column]
    return value if isinstance(value, float) else None


def _per(row: Row, column: str, whole: float = 100.0) -> float | None:
    value = _number(row, column)
    return None if value is None else value / whole


def _salt_fraction(row: Row, kind: str) -> float | None:
    """Common salt: what salt is besides water, nothing in leavening (its sodium is no salt), else from the sodium."""
    if kind == "salt":
        water = _per(row, "water_g")
        return None if water is None else 1.0 - water
    if kind == "leavening":
        return 0.0
    sodium = _per(row, "sodium_mg", 100_000.0)
    return None if sodium is None else sodium * SALT_PER_SODIUM


def _ingredient(row: Row) -> ReferenceIngredient:
    words = row["allergens"]
    allergens = words if isinstance(words, tuple) else ()
    kind = str(row["kind"])
    solids = _per(row, "milk_solids_nonfat_g")
    return ReferenceIngredient(
        key=str(row["key"]),
        name_en=str(row["name_en"]),
        name_es=str(row["name_es"]),
        kind=kind,
        counts_as_flour=bool(row["counts_as_flour"]),
        wholegrain=bool(row["wholegrain"]),
        liquid=bool(row["liquid"]),
        allergens=allergens,
        composition=Composition(
            water_fraction=_per(row, "water_g"),
            protein_fraction=_per(row, "protein_g"),
            fat_fraction=_per(row, "fat_g"),
            carbohydrate_fraction=_per(row, "carbohydrate_g"),
            sugars_fraction=_per(row, "sugars_g"),
            fibre_fraction=_per(row, "fibre_g"),
            ash_fraction=_per(row, "ash_g"),
            alcohol_fraction=_per(row, "alcohol_g"),
            salt_fraction=_salt_fraction(row, kind),
            sodium_fraction=_per(row, "sodium_mg", 100_000.0),
        ),
        saturated_fat_fraction=_per(row, "sat_fat_g"),
        milk_solids_nonfat_fraction=solids if solids is not None or "milk" in allergens else 0.0,
        energy_kcal_per_100g=_number(row, "energy_kcal"),
        source=table("ingredients").columns["water_g"].source,
        source_row=f"NDB {row['ndb']}",
        note=str(row["note"] or ""),
    )


@cache
def _by_key() -> Mapping[str, ReferenceIngredient]:
    return {str(row["key"]): _ingredient(row) for row in table("ingredients").rows}


def all_ingredients() -> tuple[ReferenceIngredient, ...]:
    """Every reference ingredient, in the table's order."""
    return tuple(_by_key().values())


def ingredient(key: str) -> ReferenceIngredient:
    """The reference ingredient with this key.

    Raises NotFound, with the nearest keys, if there is none.

    >>> ingredient("milk-whole").composition.water_fraction
    0.8813
    """
    found = _by_key().get(key)
    if found is None:
        raise NotFound(f"there is no ingredient {key!r}{_nearest(key)}")
    return found


def _nearest(key: str) -> str:
    from difflib import get_close_matches

    wanted = key.strip().lower().replace(" ", "-").replace("_", "-")
    spelt = {wanted, "-".join(reversed(wanted.split("-")))}
    close = [k for s in sorted(spelt) for k in get_close_matches(s, _by_key(), n=3, cutoff=0.6)]
    close += [k for k in _by_key() if wanted and set(wanted.split("-")) <= set(k.split("-"))]
    names = ", ".join(dict.fromkeys(close))
    return f"; the nearest are {names}" if names else "; see the list of reference ingredients"


@cache
def _household() -> Mapping[tuple[str, str, str], float]:
    rows = table("household_weights").rows
    weights: dict[tuple[str, str, str], float] = {}
    for row in rows:
        mass, amount = _number(row, "mass_g"), _number(row, "amount")
        if mass is not None and amount is not None:
            weights[str(row["key"]), str(row["measure"]), str(row["state"] or "")] = mass / amount
    return weights


def household_states(key: str) -> tuple[tuple[str, str], ...]:
    """The household measures known of an ingredient, as (measure, state), such as ``("cup", "packed")``."""
    ingredient(key)
    return tuple((measure, state) for k, measure, state in _household() if k == key)


def household_mass_g(key: str, measure: str, amount: float = 1.0, state: str = "") -> float:
    """What so many household measures of an ingredient weigh, in g.

    ``measure``: cup, tbsp, tsp, fl oz (US), piece, stick, packet or cake. ``state``: how it is filled or which size,
    such as ``packed``, ``sifted`` or ``large``; empty for the usual one. Where only another volume measure of the same
    state is published, it is scaled by the definition of the cup.

    Raises NotFound if nothing is published, OutOfRange for an amount that is negative or not finite.
    Source: USDA SR28 household weights; NIST Handbook 44, Appendix C for the measures.

    >>> household_mass_g("salt", "tsp", 2)
    12.0
    """
    ingredient(key)
    if not (math.isfinite(amount) and amount >= 0):
        raise OutOfRange(f"the number of measures must be zero or more (found {amount})")
    wanted = _SPELLINGS.get(measure.strip().lower().rstrip("."), measure.strip().lower())
    weights = _household()
    if (key, wanted, state) in weights:
        return amount * weights[key, wanted, state]
    if wanted in _PER_CUP:
        for other, per_cup in _PER_CUP.items():
            if (key, other, state) in weights:
                return amount * weights[key, other, state] * per_cup / _PER_CUP[wanted]
    known = ", ".join(" ".join(pair).strip() for pair in household_states(key)) or "none"
    what = f"{wanted} {state}".strip()
    raise NotFound(f"no weight of a {what} of {key!r} is published; known measures: {known}")
