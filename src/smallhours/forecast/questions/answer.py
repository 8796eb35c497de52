"""What every question is asked of, and what every answer says."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process import habits
from smallhours.errors import BadInput
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import Ensemble, draw
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.formula_forecast import FormulaForecast, forecast_formula

NOTHING_LOGGED = "no bake logged yet"


@dataclass(frozen=True)
class Asked:
    """Of what is asked: a (joined) formula under conditions, with these draws."""

    formula: Formula
    pantry: Pantry
    conditions: Conditions
    ensemble: Ensemble = field(default_factory=draw)

    def forecast(self, **changed: object) -> FormulaForecast:
        """The forecast, with some conditions changed. Raises as ``forecast_formula``."""
        return forecast_formula(self.formula, self.pantry, self.conditions.having(**changed), self.ensemble)

    def clock(self, after_s: float) -> str:
        """The clock so many seconds after the mixing began; empty if no start was said."""
        start = self.conditions.start
        if start is None:
            return ""
        at = (start + dt.timedelta(seconds=after_s)).astimezone(self.conditions.kitchen.zone())
        return f"{at:%H:%M}"


@dataclass(frozen=True)
class Number:
    """One number of an answer: what it is, its unit, its median and 80 % interval."""

    name: str
    unit: str
    value: Estimate


@dataclass(frozen=True)
class Answer:
    """The answer to a question.

    ``sentence``: as a baker is told; ``numbers``: what it says, each with its interval; ``rests_on``: what that rests
    on; ``look``: it needs a baker's attention (too late, too far, out of range).
    """

    question: str
    formula: str
    sentence: str
    numbers: tuple[Number, ...]
    rests_on: str
    look: bool = False

    def number(self, name: str) -> Estimate:
        """The value of that name. Raises BadInput."""
        for one in self.numbers:
            if one.name == name:
                return one.value
        raise BadInput(f"the answer has no number {name!r} (it has: {', '.join(one.name for one in self.numbers)})")


def said(length_s: float) -> str:
    """A length as people say it: to the minute, above three hours to five minutes."""
    minutes = round(length_s / 60)
    if minutes >= 180:
        minutes = 5 * round(minutes / 5)
    hours, rest = divmod(max(0, minutes), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def spread(value: Estimate) -> str:
    """A length with its interval."""
    return f"{said(value.median)} ({said(value.low)} to {said(value.high)})"


def proving_stage(formula: Formula, key: str | None = None, in_the_cold: bool = False) -> Stage:
    """The stage of that key, else the last in which the dough rises; ``in_the_cold``: rather one that can be cold.

    Raises: BadInput if there is none.
    """
    stages = [stage for stage in formula.stages if stage.part in (None, formula.main)]
    if key is not None:
        for stage in stages:
            if stage.key == key:
                return stage
        raise BadInput(f"formula {formula.id!r} has no stage {key!r} (it has: {', '.join(s.key for s in stages)})")
    rising = [stage for stage in stages if stage.kind in ("ferment", "proof", "retard")]
    if in_the_cold:
        cold = [s for s in rising if habits.place_of(s) == "fridge" or any(w.place == "fridge" for w in s.instead)]
        rising = cold or rising
    if not rising:
        raise BadInput(f"formula {formula.id!r} has no stage in which it rises: there is nothing to ask of its time")
    return rising[-1]
