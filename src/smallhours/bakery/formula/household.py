"""Household measures as a home version prints them ("2 1/2 cups, packed"), and what they weigh."""

from __future__ import annotations

import re
from dataclasses import dataclass

from smallhours.bakery.pantry import Stuff
from smallhours.errors import BadInput, NotFound
from smallhours.reference.ingredients import household_mass_g, household_states

_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_AMOUNT = re.compile(r"\s*(?:(\d+)\s+(\d+)\s*/\s*(\d+)|(\d+)\s*/\s*(\d+)|(\d+(?:[.,]\d+)?))\s*")
_MEASURES: dict[str, str] = {
    "cup": "cup", "cups": "cup", "c": "cup",
    "tablespoon": "tbsp", "tablespoons": "tbsp", "tbsp": "tbsp",
    "teaspoon": "tsp", "teaspoons": "tsp", "tsp": "tsp",
    "oz": "fl oz", "ounce": "fl oz", "ounces": "fl oz",
    "stick": "stick", "sticks": "stick", "packet": "packet", "packets": "packet", "cake": "cake", "cakes": "cake",
    "piece": "piece", "pieces": "piece",
}  # fmt: skip


@dataclass(frozen=True)
class Measure:
    """A written measure: how many of which, and the words that say how it is filled or how large it is."""

    amount: float
    measure: str
    words: frozenset[str]


def read_measure(text: str) -> Measure:
    """A written household measure. A number without a measure counts pieces ("2 large").

    Raises: BadInput if there is no number, or nothing that can be measured by.

    >>> read_measure("2 1/2 cups, packed").amount
    2.5
    """
    spelt = text.strip().lower()
    for sign, plain in _SIGNS.items():
        spelt = spelt.replace(sign, f" {plain}")
    found = _AMOUNT.match(spelt)
    if found is None:
        raise BadInput(f"{text!r} is not a household measure: write it like '2 1/2 cup' or '2 large'")
    whole, top, bottom, only_top, only_bottom, number = found.groups()
    if "0" in (bottom, only_bottom):
        raise BadInput(f"{text!r} is not a household measure: its fraction has 0 below")
    if number is not None:
        amount = float(number.replace(",", "."))
    elif whole is not None:
        amount = float(whole) + float(top) / float(bottom)
    else:
        amount = float(only_top) / float(only_bottom)
    words = re.findall(r"[^\W\d_]+", spelt[found.end() :])
    named = [_MEASURES[word] for word in words if word in _MEASURES]
    if "oz" in words and not {"fl", "fluid"} & set(words):
        raise BadInput(f"{text!r} is a mass, not a household measure: give it as mass, or write 'fl oz'")
    return Measure(amount, named[0] if named else "piece", frozenset(w for w in words if w not in _MEASURES))


def measured_g(stuff: Stuff, measure: Measure) -> float | None:
    """What a measure of an ingredient weighs, in g; None if no weight of it is published.

    Source: USDA SR28 household weights.
    """
    key = stuff.like or stuff.key
    try:
        states = [state for name, state in household_states(key) if name == measure.measure and state]
        fitting = [state for state in states if set(state.split()) <= measure.words]
        state = max(fitting, key=len, default="")
        return household_mass_g(key, measure.measure, measure.amount, state)
    except NotFound:
        return None
