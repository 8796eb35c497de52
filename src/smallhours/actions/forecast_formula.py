"""What will this dough do, here and today? Its forecast, and the questions that are asked of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import shelf
from smallhours.bakery.formula.document import Place
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.errors import BadInput
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw
from smallhours.forecast.formula_forecast import FormulaForecast, forecast_formula
from smallhours.forecast.microbes import Kept, kept_parts
from smallhours.forecast.questions import Asked, Here

EARLIEST = dt.timedelta(days=2)


@dataclass(frozen=True)
class ForecastFormula:
    """A formula and under what conditions; what is not said is as the kitchen and the formula are.

    ``start``: when the mixing begins, as a time of day or a date and time on the kitchen's clock. Others as
    ``Conditions`` and ``draw`` have them.
    """

    formula: str
    start: dt.time | dt.datetime | None = None
    room_c: float | None = None
    fridge_c: float | None = None
    dough_temp_c: float | None = None
    dough_mass_g: float = 10_000.0
    piece_mass_g: float | None = None
    yeast_percent: float | None = None
    ways: Mapping[str, Place] = field(default_factory=dict)
    door_openings: int = 0
    as_written: bool = False
    members: int = 500
    seed: int = 1


@dataclass(frozen=True)
class Forecast:
    """A forecast and the kitchen it was made for; ``kept``: what is out of the cold for too long."""

    made: FormulaForecast
    kitchen: Kitchen
    kept: tuple[Kept, ...] = ()


def forecast_of(command: ForecastFormula, actor: Actor = BAKER, clock: Clock = now) -> Forecast:
    """The forecast of a formula's every stage. Raises as ``asked_of`` and ``forecast_formula``."""
    asked = asked_of(command, actor, clock)
    made = forecast_formula(asked.formula, asked.pantry, asked.conditions, asked.ensemble)
    kept = tuple(one for one in kept_parts(asked, made) if one.too_long)
    return Forecast(made, asked.conditions.kitchen, kept)


def asked_of(command: ForecastFormula, actor: Actor = BAKER, clock: Clock = now) -> Asked:
    """What a question is asked of: the formula, the kitchen and today.

    Raises: NotFound for an unknown formula or no kitchen, OutOfRange for numbers that cannot be, BadInput for a start
    more than two days ago.
    """
    here = here_of(command, actor, clock)
    return here.asked()


def here_of(command: ForecastFormula, actor: Actor = BAKER, clock: Clock = now) -> Here:
    """What a question about the kitchen is asked of; the formula may be empty. Raises as ``asked_of``."""
    require(actor, "look")
    held = shelf()
    conditions = _conditions(command, held.the_kitchen(), clock)
    formula = held.whole_formula(command.formula) if command.formula else None
    return Here(held.pantry(), conditions, draw(command.members, command.seed), formula)


def _conditions(command: ForecastFormula, kitchen: Kitchen, clock: Clock) -> Conditions:
    return Conditions(
        kitchen,
        start=None if command.start is None else _instant(command.start, kitchen, clock()),
        room_c=command.room_c,
        fridge_c=command.fridge_c,
        dough_temp_c=command.dough_temp_c,
        dough_mass_g=command.dough_mass_g,
        piece_mass_g=command.piece_mass_g,
        yeast_percent=command.yeast_percent,
        ways=command.ways,
        door_openings=command.door_openings,
        as_written=command.as_written,
    )


def due_after(start: dt.datetime, due: dt.time | dt.datetime, kitchen: Kitchen) -> dt.datetime:
    """When something is due on the kitchen's clock: a time of day is the next one after the start."""
    zone = kitchen.zone()
    if isinstance(due, dt.datetime):
        return due.replace(tzinfo=zone).astimezone(dt.UTC)
    local = dt.datetime.combine(start.astimezone(zone).date(), due, zone)
    if local <= start:
        local = dt.datetime.combine(local.date() + dt.timedelta(days=1), due, zone)
    return local.astimezone(dt.UTC)


def _instant(start: dt.time | dt.datetime, kitchen: Kitchen, at: dt.datetime) -> dt.datetime:
    """The start on the kitchen's clock; a time of day is today's."""
    zone = kitchen.zone()
    local = start if isinstance(start, dt.datetime) else dt.datetime.combine(at.astimezone(zone).date(), start)
    instant = local.replace(tzinfo=zone).astimezone(dt.UTC)
    if instant < at - EARLIEST:
        raise BadInput(f"the start {local:%Y-%m-%d %H:%M} is more than two days ago: a forecast looks ahead from today")
    return instant
