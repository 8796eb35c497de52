"""The usual cautions, read off what is in a dough: raw flour, raw egg, allergens, mixer, oven."""

from __future__ import annotations

from collections.abc import Iterable

from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.sheets.words import Speech


def contents(formula: Formula, pantry: Pantry, part_id: str | None = None) -> list[Stuff]:
    """Every ingredient of a joined formula, or of one of its parts with the parts inside it."""
    inside = unit_amounts(formula, pantry, pieces=1).ingredients(part_id)
    return [pantry.find(key) for key in inside]


def allergen_words(stuffs: Iterable[Stuff], speech: Speech) -> list[str]:
    """Names of all allergens in the ingredients, in alphabetical order."""
    found = {allergen for stuff in stuffs for allergen in stuff.allergens}
    return sorted(speech.or_own(f"allergen.{allergen}", None) for allergen in found)


def cautions(
    formula: Formula, stuffs: list[Stuff], speech: Speech, *, mixer: bool = False, oven: bool = False
) -> list[str]:
    """The sentences for one sheet; the formula's own come first."""
    told = list(formula.cautions)
    allergens = allergen_words(stuffs, speech)
    if allergens:
        told.append(speech.say("caution.allergens", list=speech.listed(allergens)))
        told.append(speech.say("caution.cross"))
    else:
        told.append(speech.say("caution.no-allergens"))
    if any(stuff.counts_as_flour or stuff.kind == "flour" for stuff in stuffs):
        told.append(speech.say("caution.raw-flour"))
    if any(stuff.kind == "egg" for stuff in stuffs):
        told.append(speech.say("caution.raw-egg"))
    if mixer:
        told.append(speech.say("caution.mixer"))
    if oven:
        told.append(speech.say("caution.oven"))
    return told
