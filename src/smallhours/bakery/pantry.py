"""What a bakery has on its shelf: its own ingredients over the reference ones, found by key."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, replace
from functools import cache

from smallhours.bakery.ingredient import Ingredient, OwnComposition
from smallhours.errors import BadInput, DocumentError, Fault, NotFound
from smallhours.reference.ingredients import ReferenceIngredient, all_ingredients, ingredient
from smallhours.science.composition import SALT_PER_SODIUM, Composition


@dataclass(frozen=True)
class Stuff:
    """An ingredient as this bakery has it.

    ``counts_as_flour``: part of the 100 of baker's percentage. ``liquid``: pours, so its temperature can be set.
    ``composition``: shares of its mass; what is not known is None, not 0. ``milk_solids_fraction``: fat-free solids of
    milk (None: not known). ``like``: key of the reference ingredient it rests on, None if it rests on none.
    """

    key: str
    name: str
    name_es: str
    kind: str
    counts_as_flour: bool
    wholegrain: bool
    liquid: bool
    allergens: frozenset[str]
    composition: Composition
    milk_solids_fraction: float | None = None
    like: str | None = None


class Pantry:
    """Finds ingredients: the bakery's own first, then the reference ones."""

    def __init__(self, own: Iterable[Ingredient] = ()) -> None:
        self._own: dict[str, Ingredient] = {}
        faults = []
        for thing in own:
            if thing.id in self._own:
                faults.append(Fault(f"ingredient {thing.id!r}", "is there twice; give each its own id"))
            self._own[thing.id] = thing
        if faults:
            raise DocumentError("the ingredient list", faults)
        self._found: dict[str, Stuff] = {}

    def find(self, key: str) -> Stuff:
        """The ingredient of that key.

        Raises: NotFound, naming the keys spelled most like it; BadInput if ingredients rest on one another.
        """
        stuff = self._found.get(key)
        if stuff is None:
            stuff = self._found[key] = self._look_up(key, ())
        return stuff

    def __contains__(self, key: str) -> bool:
        try:
            self.find(key)
        except NotFound:
            return False
        return True

    def keys(self) -> Iterator[str]:
        """Every key there is, the bakery's own first."""
        yield from self._own
        yield from (known.key for known in all_ingredients() if known.key not in self._own)

    def _look_up(self, key: str, through: tuple[str, ...]) -> Stuff:
        if key in through:
            raise BadInput(f"ingredient {key!r} rests on itself: {' <- '.join((*through, key))}")
        own = self._own.get(key)
        if own is None:
            return self._reference(key)
        if own.like is not None and own.like != own.id:
            return _as_bought(self._look_up(own.like, (*through, key)), own)
        return _as_bought(self._reference(key) if key in _reference_keys() else _plain(key), own)

    def _reference(self, key: str) -> Stuff:
        if key not in _reference_keys():
            raise NotFound(self._unknown(key))
        return _as_published(ingredient(key))

    def _unknown(self, key: str) -> str:
        words = set(key.split("-"))
        near = difflib.get_close_matches(key, list(self.keys()), n=3, cutoff=0.6)
        near += [k for k in self.keys() if k not in near and words & set(k.split("-"))]
        hint = f"did you mean {', '.join(map(repr, near[:3]))}?" if near else "add it to the bakery's ingredients"
        return f"there is no ingredient {key!r}; {hint}"


@cache
def _reference_keys() -> frozenset[str]:
    return frozenset(known.key for known in all_ingredients())


def _as_published(known: ReferenceIngredient) -> Stuff:
    return Stuff(
        key=known.key,
        name=known.name_en,
        name_es=known.name_es,
        kind=known.kind,
        counts_as_flour=known.counts_as_flour,
        wholegrain=known.wholegrain,
        liquid=known.liquid,
        allergens=frozenset(known.allergens),
        composition=known.composition,
        milk_solids_fraction=known.milk_solids_nonfat_fraction,
        like=known.key,
    )


def _plain(key: str) -> Stuff:
    """An ingredient that rests on nothing: all that is known of it is what the bakery says."""
    name = key.replace("-", " ")
    return Stuff(key, name, name, "other", False, False, False, frozenset(), Composition())


def _as_bought(stuff: Stuff, own: Ingredient) -> Stuff:
    name = own.name or stuff.name
    return replace(
        stuff,
        key=own.id,
        name=name,
        name_es=own.name or stuff.name_es,
        allergens=stuff.allergens if own.allergens is None else frozenset(own.allergens),
        composition=_with_own(stuff.composition, own.composition, own.id),
    )


_WHOLE = (
    "water_fraction",
    "protein_fraction",
    "fat_fraction",
    "carbohydrate_fraction",
    "ash_fraction",
    "alcohol_fraction",
)


def _with_own(known: Composition, own: OwnComposition | None, key: str) -> Composition:
    """The composition with single values from a specification sheet (g per 100 g) in place of the known ones.

    What the sheet does not say keeps its proportions in what is left: a moister flour has less of all else.
    """
    if own is None:
        return known
    said = {
        name.removesuffix("_g") + "_fraction": grams / 100.0
        for name in type(own).model_fields
        if (grams := getattr(own, name)) is not None
    }
    if "salt_fraction" in said:
        said["sodium_fraction"] = said["salt_fraction"] / SALT_PER_SODIUM
    rest_before = sum(getattr(known, n) or 0.0 for n in _WHOLE if n not in said)
    change = sum(said[n] - (getattr(known, n) or 0.0) for n in _WHOLE if n in said)
    by = (rest_before - change) / rest_before if rest_before > 0 and known.water_fraction is not None else 1.0
    try:
        kept = {f.name: value * by for f in fields(known) if (value := getattr(known, f.name)) is not None}
        return Composition(**{**kept, **said})
    except BadInput as error:
        raise DocumentError("the ingredient list", [Fault(f"ingredient {key!r}", str(error))]) from None
