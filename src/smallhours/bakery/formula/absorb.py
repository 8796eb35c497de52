"""A formula for a flour that takes more water, or less: its main liquid follows, all else stays."""

from __future__ import annotations

import math
from dataclasses import dataclass

from smallhours.bakery.formula.amounts import percentages, unit_amounts
from smallhours.bakery.formula.document import Formula, Line, Part
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.science.ranges import checked

MOST_POINTS = 15.0
_DIGITS = 6


@dataclass(frozen=True)
class MainLiquid:
    """The liquid that is changed first: ``percent`` of all flour of the formula, ``water_fraction`` of its mass."""

    key: str
    percent: float
    water_fraction: float


def main_liquid(formula: Formula, pantry: Pantry) -> MainLiquid:
    """Water itself, else the liquid of which there is most. Raises BadInput for a (joined) formula without liquid."""
    found = []
    for key, percent in percentages(formula, pantry, formula.main, "total").items():
        stuff = pantry.find(key)
        water = stuff.composition.water_fraction or 0.0
        if stuff.liquid and stuff.kind in ("liquid", "dairy", "egg") and water > 0.5:
            found.append((key == "water", percent, key, water))
    if not found:
        raise BadInput(f"formula {formula.id!r} has no liquid to change")
    _, percent, key, water = max(found)
    return MainLiquid(key, percent, water)


def absorbing(formula: Formula, pantry: Pantry, points: float) -> Formula:
    """The (joined) formula with as much liquid as a flour wants that absorbs ``points`` percent of flour more.

    Below 0: less. The main liquid is changed where the main part has it, else where the parts inside it have it.

    Raises: OutOfRange outside -15 to 15 points; BadInput without a liquid, or if less is wanted than there is.
    Source: definition of absorption: water in percent of flour.
    """
    checked(points, "how much more the flour absorbs", -MOST_POINTS, MOST_POINTS, "points")
    if points == 0:
        return formula
    liquid = main_liquid(formula, pantry)
    holders = [part for part in formula.parts if any(line.ingredient == liquid.key for line in part.lines)]
    place = next((part for part in holders if part.id == formula.main), holders[0])
    here = _own_percent(formula, pantry, place, liquid.key)
    if here <= 0:
        raise BadInput(f"formula {formula.id!r} has no {liquid.key} in its dough to change")
    ratio = 1.0 + points / liquid.water_fraction / here
    if ratio < 0:
        raise BadInput(
            f"formula {formula.id!r} has {here:.1f} % {liquid.key} in {place.name}: {-points:g} points less water "
            "cannot be taken from it"
        )
    changed = _with_ratio(place, liquid.key, ratio)
    return formula.model_copy(update={"parts": tuple(changed if part is place else part for part in formula.parts)})


def _own_percent(formula: Formula, pantry: Pantry, part: Part, key: str) -> float:
    """What a part's own lines say of an ingredient, in percent of all flour."""
    if part.percent_on == "total":
        return math.fsum(line.percent or 0.0 for line in part.lines if line.ingredient == key)
    amounts = unit_amounts(formula, pantry, pieces=1)
    own_g = math.fsum(one.mass_g for one in amounts.parts[part.id].lines if one.key == key)
    return 100.0 * own_g / amounts.flour_g if amounts.flour_g > 0 else 0.0


def _with_ratio(part: Part, key: str, ratio: float) -> Part:
    lines = [_times(line, ratio) if line.ingredient == key else line for line in part.lines]
    if part.percent_on == "mass" and part.lines[0].mass_g is None:
        whole = math.fsum(line.percent or 0.0 for line in lines)
        lines = [line if line.percent is None else _times(line, 100.0 / whole) for line in lines]
    return part.model_copy(update={"lines": tuple(lines)})


def _times(line: Line, ratio: float) -> Line:
    name = "mass_g" if line.mass_g is not None else "percent"
    value = getattr(line, name) or 0.0
    return line.model_copy(update={name: round(value * ratio, _DIGITS), "household": None})
