"""What a formula holds of which allergen, from which stage on, and whether it can be free from what it says.

To be free from something is a wish to the plan: mixers and benches are clean of it. It says nothing of traces in bought
ingredients, of flour in the air, of ovens and trays, and is no promise to anybody who eats the product.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping

from smallhours.bakery.formula.document import Formula, Part
from smallhours.bakery.pantry import Pantry
from smallhours.errors import Fault

LISTED = frozenset((
    "gluten", "wheat", "spelt", "rye", "barley", "oats", "crustaceans", "egg", "fish", "peanut", "soy", "milk", "nuts",
    "almond", "hazelnut", "walnut", "cashew", "pecan", "brazil-nut", "pistachio", "macadamia", "celery", "mustard",
    "sesame", "sulphites", "lupin", "molluscs",
))  # fmt: skip
"""Source: Regulation (EU) No 1169/2011, Annex II (from memory), in the words of the ingredient table."""


def allergens_of_part(formula: Formula, part_id: str, pantry: Pantry, but: Iterable[str] = ()) -> frozenset[str]:
    """The allergens of a part of a (joined) formula, the parts inside it opened; ``but``: parts that are not in yet.

    Raises: NotFound for an unknown ingredient.
    """
    return frozenset(word for word, _, _ in _held(formula, part_id, pantry, but))


def held_by_stage(formula: Formula, part_id: str, pantry: Pantry) -> Mapping[str, frozenset[str]]:
    """Stage key -> the allergens that a part of a (joined) formula holds by the end of that stage.

    A part that a stage ``uses`` comes in with that stage, whatever else is in the lines with the first. Of the main
    part, a part of its own size (a wash, a topping) that no stage uses counts from the first stage on.
    """
    stages = formula.stages_of(part_id)
    later = {name for stage in stages for name in stage.uses}
    held = allergens_of_part(formula, part_id, pantry, later)
    if part_id == formula.main:
        for name in _unused(formula):
            held |= allergens_of_part(formula, name, pantry)
    found: dict[str, frozenset[str]] = {}
    for stage in stages:
        for name in stage.uses:
            held |= allergens_of_part(formula, name, pantry)
        found[stage.key] = held
    return found


def claim_faults(formula: Formula, pantry: Pantry, claims: Iterable[str] | None = None) -> Iterator[Fault]:
    """Why a (joined) formula cannot be free from what it says it is (or from ``claims``): it holds it, or it is no word
    that any ingredient goes by."""
    wanted = tuple(formula.free_from if claims is None else claims)
    if not wanted:
        return
    held = [of for part in formula.parts for of in _held(formula, part.id, pantry)]
    shelf = pantry.keys()
    known = LISTED | {word for key in shelf for word in pantry.find(key).allergens}
    for claim in wanted:
        inside = dict.fromkeys(f"{name!r} has {key!r} in it" for word, name, key in held if word == claim)
        if inside:
            yield Fault("free_from", f"cannot be free from {claim!r}: its part {' and its part '.join(inside)}")
        elif claim not in known:
            near = difflib.get_close_matches(claim, known, n=3) or sorted(w for w in known if w in claim.split("-"))
            hint = f"did you mean {' or '.join(map(repr, near))}?" if near else f"write {', '.join(sorted(known))}"
            yield Fault("free_from", f"{claim!r} is no allergen that any ingredient goes by; {hint}")


def _unused(formula: Formula) -> list[str]:
    """Parts that are sized for themselves and that no stage uses."""
    inside = {line.part for part in formula.parts for line in part.lines}
    used = {name for stage in formula.stages for name in stage.uses}
    return [p.id for p in formula.parts if p.id != formula.main and p.id not in inside and p.id not in used]


def _held(formula: Formula, part_id: str, pantry: Pantry, but: Iterable[str] = ()) -> Iterator[tuple[str, str, str]]:
    """(allergen, part, ingredient) of a part and the parts inside it."""
    left_out = frozenset(but)
    part: Part = formula.part(part_id)
    for line in part.lines:
        if not any((line.percent, line.mass_g, line.flour_percent)):
            continue
        if line.ingredient is not None:
            for word in sorted(pantry.find(line.ingredient).allergens):
                yield word, part_id, line.ingredient
        elif line.part is not None and line.part not in left_out:
            yield from _held(formula, line.part, pantry)
