"""What if the room, the fridge, the flour, the pieces or the dough's temperature were otherwise? Quick, for sliders."""

from __future__ import annotations

import math
from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.bakery.formula.absorb import absorbing, main_liquid
from smallhours.bakery.formula.balance import balance
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.formula.scaling import Scaled, scale_by_dough_mass
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw
from smallhours.forecast.formula_forecast import FormulaForecast, forecast_formula, ways_of
from smallhours.forecast.other_flour import with_other_flour
from smallhours.forecast.place_temp import place_temp_c
from smallhours.records import queries

FEW_MEMBERS, ALL_MEMBERS = 100, 500
"""While a slider moves, and when it rests."""
_FLOUR_POINTS = 6.0


@dataclass(frozen=True)
class TryFormula:
    """A formula under other conditions; what is not said is as the kitchen and the formula are.

    ``flour_points``: by how many points of flour this flour absorbs more. Others as ``Conditions`` has them.
    """

    formula: str
    room_c: float | None = None
    fridge_c: float | None = None
    dough_temp_c: float | None = None
    piece_mass_g: float | None = None
    flour_points: float = 0.0
    dough_mass_g: float = 10_000.0
    members: int = FEW_MEMBERS


@dataclass(frozen=True)
class Tried:
    """What comes of it. ``usual``: where the sliders stand if nothing is said (None: the formula has no such thing);
    ``liquid``: the main liquid as tried (None without one); ``water_percent``: all water, on all flour (None without
    flour); ``scaled``: the dough in pieces."""

    made: FormulaForecast
    kitchen: Kitchen
    usual: Usual
    liquid: TriedLiquid | None
    scaled: Scaled
    water_percent: float | None


@dataclass(frozen=True)
class TriedLiquid:
    """The main liquid in both languages, and how much of it there is as tried, in percent of all flour."""

    name: str
    name_es: str
    percent: float


@dataclass(frozen=True)
class SliderFigures:
    """What can be moved (``room``, ``fridge``, ``flour``, ``piece``, ``dough``), between which figures, in which steps,
    and where it stands if nobody moves it."""

    name: str
    low: float
    high: float
    step: float
    usual: float


@dataclass(frozen=True)
class Usual:
    """The kitchen's and the formula's own figures."""

    room_c: float
    fridge_c: float | None
    dough_temp_c: float | None
    piece_mass_g: float | None


@dataclass(frozen=True)
class Stand:
    """What is tried and where: a formula with its base joined in, this kitchen, its ingredients."""

    formula: Formula
    kitchen: Kitchen
    pantry: Pantry


def stand_of(slug: str, actor: Actor = BAKER) -> Stand:
    """No more of the store than is needed. Raises NotFound for an unknown formula or no kitchen, NotAllowed."""
    require(actor, "look")
    formula = joined(queries.kept_formula(slug).document, lambda base: queries.kept_formula(base).document)
    return Stand(formula, queries.kept_kitchen().document, Pantry(queries.ingredient_list().ingredients))


def sliders_of(stand: Stand) -> tuple[SliderFigures, ...]:
    """What of a formula can be moved."""
    formula, kitchen, pantry = stand.formula, stand.kitchen, stand.pantry
    usual = usual_of(formula, kitchen)
    found = [_around("room", 10.0, 35.0, usual.room_c)]
    if usual.fridge_c is not None:
        found.append(_around("fridge", 0.0, 12.0, usual.fridge_c))
    if usual.dough_temp_c is not None:
        found.append(_around("dough", 15.0, 32.0, usual.dough_temp_c))
    if _liquid(formula, pantry) is not None:
        found.append(SliderFigures("flour", -_FLOUR_POINTS, _FLOUR_POINTS, 0.5, 0.0))
    if usual.piece_mass_g is not None:
        own_g = usual.piece_mass_g
        step = 1.0 if own_g < 200 else 5.0
        found.append(SliderFigures("piece", max(step, round(own_g / 2 / step) * step), 2.0 * own_g, step, own_g))
    return tuple(found)


def _around(name: str, low: float, high: float, usual: float) -> SliderFigures:
    """A slider of temperatures that reaches to what is usual here, however unusual that is."""
    return SliderFigures(name, min(low, math.floor(usual)), max(high, math.ceil(usual)), 0.5, usual)


def try_formula(command: TryFormula, actor: Actor = BAKER, stand: Stand | None = None) -> Tried:
    """The forecast as tried. ``stand``: of its formula, if read already.

    Raises: NotFound for an unknown formula or no kitchen, OutOfRange for numbers that cannot be, BadInput for a formula
    without stages or without the liquid that is to be changed.
    """
    require(actor, "look")
    found = stand_of(command.formula, actor) if stand is None else stand
    own, kitchen, pantry = found.formula, found.kitchen, found.pantry
    changed = absorbing(own, pantry, command.flour_points)
    conditions = Conditions(
        kitchen,
        room_c=command.room_c,
        fridge_c=command.fridge_c,
        dough_temp_c=command.dough_temp_c,
        dough_mass_g=command.dough_mass_g,
        piece_mass_g=command.piece_mass_g,
    )
    if command.flour_points:
        conditions = with_other_flour(conditions, own, changed, pantry)
    made = forecast_formula(own, pantry, conditions, draw(command.members))
    shown = _with_pieces_of(changed, command.piece_mass_g)
    return Tried(
        made=made,
        kitchen=kitchen,
        usual=usual_of(own, kitchen),
        liquid=_liquid(shown, pantry),
        scaled=scale_by_dough_mass(shown, pantry, command.dough_mass_g),
        water_percent=_water(shown, pantry),
    )


def usual_of(formula: Formula, kitchen: Kitchen) -> Usual:
    """Where sliders stand before anybody moves them."""
    output = formula.output
    fridge = any(way.place == "fridge" for stage in formula.stages for way in ways_of(stage, 1)[:1])
    return Usual(
        room_c=kitchen.temperatures.room_c,
        fridge_c=place_temp_c(kitchen, "fridge") if fridge else None,
        dough_temp_c=_dough_temp_c(formula, kitchen),
        piece_mass_g=None if output is None else output.piece_mass_g or output.baked_mass_g,
    )


def _dough_temp_c(formula: Formula, kitchen: Kitchen) -> float:
    """What the dough comes off the mixer with: as the formula wants it, else as warm as the room."""
    target_c = formula.part(formula.main).target_temp_c
    return kitchen.temperatures.room_c if target_c is None else target_c


def _with_pieces_of(formula: Formula, piece_mass_g: float | None) -> Formula:
    """The formula divided into other pieces; the forecast takes them as they are divided, so they are said so."""
    if piece_mass_g is None or formula.output is None:
        return formula
    output = formula.output.model_copy(update={"piece_mass_g": piece_mass_g, "baked_mass_g": None})
    return formula.model_copy(update={"output": output})


def _liquid(formula: Formula, pantry: Pantry) -> TriedLiquid | None:
    try:
        liquid = main_liquid(formula, pantry)
    except BadInput:
        return None
    stuff = pantry.find(liquid.key)
    return TriedLiquid(stuff.name, stuff.name_es, liquid.percent)


def _water(formula: Formula, pantry: Pantry) -> float | None:
    try:
        return balance(formula, pantry).water_percent
    except BadInput:  # no flour to reckon on
        return None
