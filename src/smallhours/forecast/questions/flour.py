"""How much liquid does other flour take?"""

from __future__ import annotations

from smallhours.bakery.formula.absorb import main_liquid
from smallhours.bakery.formula.amounts import percentages
from smallhours.bakery.formula.balance import balance
from smallhours.errors import BadInput
from smallhours.forecast.ensemble import estimates
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.questions.answer import Answer, Asked, Number
from smallhours.science.ranges import checked

_REST = "Then let it rest 20 to 30 min longer or shorter as the bran goes in or out."


def other_whole_grain(asked: Asked, ratio: float = 0.5) -> Answer:
    """How much liquid does the dough take with so many times its whole-grain flour (0.5: half)?

    The rest of the flour makes up for it.
    Raises: OutOfRange for a ratio outside 0 to 10 or more whole grain than flour; BadInput without whole-grain flour.
    Source: 1.5 to 2 points of water for each ten points of flour exchanged: a first guess of the trade, no rule is
    agreed on (judgement).
    """
    checked(ratio, "the ratio of the whole-grain flour", 0.0, 10.0, "")
    own = balance(asked.formula, asked.pantry).wholegrain_percent
    if own <= 0:
        raise BadInput(f"formula {asked.formula.id!r} has no whole-grain flour to change")
    checked(own * ratio, "the whole-grain flour", 0.0, 100.0, "% of flour")
    points = asked.ensemble.values("whole_grain") * own * (ratio - 1.0) / 10.0
    change = estimates({"water": points}, asked.ensemble.weights)["water"]
    key, liquid, water = _liquid(asked)
    new = Estimate(*(liquid + value / water for value in (change.median, change.low, change.high)))
    less = "less" if change.median < 0 else "more"
    sentence = (
        f"With {own * ratio:.0f} % whole-grain flour in place of {own:.0f} % it takes {abs(change.median):.1f} points "
        f"of water {less}: {new.median:.1f} % {key} in place of {liquid:.1f} % ({min(new.low, new.high):.1f} to "
        f"{max(new.low, new.high):.1f} %). Hold back a little of it and feel the dough. {_REST}"
    )
    rests = "1.5 to 2 points of water for each ten of whole grain: a first guess of the trade, no rule is agreed on"
    return Answer("flour", asked.formula.id, sentence, (_water(change), Number(key, "% of flour", new)), rests)


def new_flour(asked: Asked, points: float) -> Answer:
    """How much liquid does the dough take if its flour absorbs so many points more (below 0: less)?

    ``points``: percent of flour, from the mill's sheet or a trial dough.
    Raises: OutOfRange outside -15 to 15 points; BadInput for a formula without liquid.
    Source: definition of absorption; a mill's figure repeats within about half a point (judgement).
    """
    checked(points, "how much more the flour absorbs", -15.0, 15.0, "points")
    key, liquid, water = _liquid(asked)
    change = Estimate(points, points - 0.5, points + 0.5)
    new = change.times(1.0 / water)
    new = Estimate(liquid + new.median, liquid + new.low, liquid + new.high)
    mass = 100.0 * new.median / liquid - 100.0
    total = sum(percentages(asked.formula, asked.pantry, asked.formula.main, "total").values())
    yields = (new.median - liquid) / total * 100.0
    sentence = (
        f"{new.median:.1f} % {key} in place of {liquid:.1f} % ({new.low:.1f} to {new.high:.1f} %), {mass:+.1f} % of "
        f"it; the same flour makes {yields:+.1f} % dough. Pour its temperature anew: more liquid steers more."
    )
    rests = "the definition of absorption, in points of flour; half a point either way (a judgement)"
    numbers = (_water(change), Number(key, "% of flour", new), Number("dough", "%", Estimate.sure(yields)))
    return Answer("flour", asked.formula.id, sentence, numbers, rests)


def _water(change: Estimate) -> Number:
    return Number(
        "water", "points", Estimate(change.median, min(change.low, change.high), max(change.low, change.high))
    )


def _liquid(asked: Asked) -> tuple[str, float, float]:
    """The liquid to change: its key, its percent on all flour, its share of water."""
    liquid = main_liquid(asked.formula, asked.pantry)
    return liquid.key, liquid.percent, liquid.water_fraction
