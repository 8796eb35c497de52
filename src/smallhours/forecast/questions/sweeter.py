"""What do other sugar and salt do to the time?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.balance import balance
from smallhours.errors import BadInput
from smallhours.forecast.ensemble import estimates
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.formula_forecast import MOST_YEAST_PERCENT, own_yeast_percent
from smallhours.forecast.osmotic import Dissolved, dissolved, of_kind_percent, slowed_factors
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, proving_stage, said, spread

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_FEEDS_UNDER_PERCENT = 5.0  # up to so much sugar also feeds the yeast (physics of lean doughs, not counted)
_KPA_PER_ATM = 101.325


def what_if_sugar_and_salt_are(
    asked: Asked, sugar_percent: float | None = None, salt_percent: float | None = None
) -> Answer:
    """How much longer does it take with so much sugar and salt, and how much yeast makes up for it?

    In percent of all flour, as weighed; what is not said stays as it is.
    Raises: BadInput if neither is said or the dough does not live; OutOfRange for what cannot be a dough.
    Source: ``science.dough_water``, as a ratio to the formula's own dough; speed follows dose ^ exponent.
    """
    if sugar_percent is None and salt_percent is None:
        raise BadInput("say how much sugar or salt it is to have, in percent of flour")
    pantry, main, amounts = asked.pantry, asked.formula.main, unit_amounts(asked.formula, asked.pantry)
    own = dissolved(amounts, pantry, main)
    other = dissolved(amounts, pantry, main, sugar_percent, salt_percent)
    now, then = asked.forecast(), asked.forecast(sugar_percent=sugar_percent, salt_percent=salt_percent)
    stage = proving_stage(asked.formula)
    before, after = now.stage(stage.key), then.stage(stage.key)
    speed = slowed_factors(own, other, asked.ensemble)
    found = estimates({"speed": speed}, asked.ensemble.weights)["speed"]
    own_sugar, own_salt = (of_kind_percent(amounts, pantry, main, kind) for kind in ("sugar", "salt"))
    numbers = [
        Number("speed", "times", found),
        Number(f"{stage.key} now", "s", before.length),
        Number(stage.key, "s", after.length),
        Number("ready now", "s", now.ready),
        Number("ready", "s", then.ready),
        Number("osmotic pressure now", "kPa", Estimate.sure(own.pressure_kpa)),
        Number("osmotic pressure", "kPa", Estimate.sure(other.pressure_kpa)),
        Number("sugar in the formula", "% of flour", Estimate.sure(own_sugar)),
        Number("salt in the formula", "% of flour", Estimate.sure(own_salt)),
    ]
    told = _sentence(asked, (sugar_percent, salt_percent), (own, other), found)
    told += f" {before.name.capitalize()}: {said(before.length.median)} becomes {spread(after.length)}."
    yeast = _yeast(asked, speed)
    if yeast is not None:
        numbers.append(Number("yeast", "% of flour", yeast))
        told += _dose(asked, yeast)
    if sugar_percent is not None and max(own_sugar, sugar_percent) <= _FEEDS_UNDER_PERCENT:
        told += " So little sugar also feeds the yeast, which is not counted: it may be no slower at all."
    rests = (
        "how hard the dough's water draws on the cells, against its own dough; how much of it a yeast stands is known "
        f"to a factor of two (table yeast_strength); {NOTHING_LOGGED}"
    )
    look = yeast is not None and _instant(asked, yeast.median) > MOST_YEAST_PERCENT
    return Answer("sweeter", asked.formula.id, told, tuple(numbers), rests, look)


def _sentence(
    asked: Asked,
    wanted: tuple[float | None, float | None],
    doughs: tuple[Dissolved, Dissolved],
    speed: Estimate,
) -> str:
    said_of = [
        f"{value:g} % {name}" for value, name in zip(wanted, ("sugar", "salt"), strict=True) if value is not None
    ]
    own, other = (round(dough.pressure_kpa / _KPA_PER_ATM) for dough in doughs)
    word = "slower" if speed.median < 1 else "faster"
    return (
        f"With {' and '.join(said_of)} its yeast works {abs(1 - speed.median) * 100:.0f} % {word} ({speed.low:.2f} to "
        f"{speed.high:.2f} times as fast; {other} atm in its water in place of {own})."
    )


def _yeast(asked: Asked, speed: Floats) -> Estimate | None:
    """The dose that makes up for it; None for a dough without yeast."""
    try:
        own = own_yeast_percent(asked.formula, asked.pantry)
    except BadInput:
        return None
    needed = own * speed ** (-1.0 / asked.ensemble.values("dose"))
    return estimates({"yeast": needed}, asked.ensemble.weights)["yeast"]


def _instant(asked: Asked, percent: float) -> float:
    own = own_yeast_percent(asked.formula, asked.pantry)
    return balance(asked.formula, asked.pantry).yeast_percent * percent / own


def _dose(asked: Asked, yeast: Estimate) -> str:
    own = own_yeast_percent(asked.formula, asked.pantry)
    told = (
        f" {yeast.median:.2f} % yeast in place of {own:.2f} % makes up for it ({yeast.low:.2f} to {yeast.high:.2f} %)."
    )
    if _instant(asked, yeast.median) > MOST_YEAST_PERCENT:
        told += " That is more than a dough takes: use an osmotolerant yeast, or give it the time."
    return told
