"""How much yeast makes it ready at another time?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.bakery.formula.balance import balance
from smallhours.errors import Impossible
from smallhours.forecast.ensemble import estimates, quantiles
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.formula_forecast import MOST_YEAST_PERCENT, own_yeast_percent
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, said
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_RATIOS = (0.1, 0.2, 0.35, 0.5, 0.7, 0.85, 1.0, 1.2, 1.5, 2.0, 3.0)
_DILUTE_UNDER_PERCENT = 0.1  # of instant yeast on flour: less cannot be weighed (table usual_ranges)
_LONG_NIGHT_S = 3 * 3600.0


def how_much_yeast(asked: Asked, later_s: float) -> Answer:
    """With how much yeast is it ready so much later (below 0: sooner) than with the formula's own?

    Each member is ready now when the baker says it is; only how its speed follows the dose is unsure.
    Raises: OutOfRange for more than a day; Impossible if no dose from a tenth to three times does it; BadInput for a
    formula without yeast.
    Source: speed follows dose ^ exponent (``science.yeast_activity.dose_factors``), along the dough's temperatures.
    """
    import numpy as np

    checked(later_s, "how much later", -86400.0, 86400.0, "s")
    own = own_yeast_percent(asked.formula, asked.pantry)
    usual = balance(asked.formula, asked.pantry).yeast_percent
    ratios = [ratio for ratio in _RATIOS if 0.01 <= usual * ratio <= MOST_YEAST_PERCENT]
    rows = np.array([_until_oven(asked, own * ratio) for ratio in ratios])
    now = rows[ratios.index(1.0)]
    before_s = float(quantiles(now, asked.ensemble.weights, (0.5,))[0])
    factor = (before_s + later_s) / before_s
    wanted = now * factor  # what a baker sees is later by the same share in every member
    middle = quantiles(rows, asked.ensemble.weights, (0.5,))[0]
    if not middle.min() <= before_s + later_s <= middle.max():
        raise Impossible(
            f"with {own * ratios[0]:.2g} to {own * ratios[-1]:.2g} % yeast it is ready {said(middle.min())} to "
            f"{said(middle.max())} after the mixing, not after {said(max(0.0, before_s + later_s))}: "
            "change its temperature or put it in the fridge instead"
        )
    logs = np.log(ratios)
    found = [np.interp(-w, -column, logs) for w, column in zip(wanted, rows.T, strict=True)]
    dose = estimates({"dose": own * np.exp(np.array(found))}, asked.ensemble.weights)["dose"]
    return _answer(asked, own, dose, later_s, before_s, usual * dose.median / own)


def _answer(asked: Asked, own: float, dose: Estimate, later_s: float, before_s: float, instant: float) -> Answer:
    less = dose.median < own
    word = "later" if later_s >= 0 else "sooner"
    share = abs(1.0 - dose.median / own) * 100
    sentence = (
        f"Take {dose.median:.2f} % yeast in place of {own:.2f} % ({dose.low:.2f} to {dose.high:.2f} %), "
        f"{share:.0f} % {'less' if less else 'more'}: it is ready {said(abs(later_s))} {word}."
    )
    if instant < _DILUTE_UNDER_PERCENT:
        sentence += " So little is weighed as a dilution: a tenth of yeast in water, and ten times as much of it."
    if later_s > _LONG_NIGHT_S:
        sentence += " Yeast grows over so long a time: look at it before, it may be sooner."
    numbers = (
        Number("yeast", "% of flour", dose),
        Number("yeast in the formula", "% of flour", Estimate.sure(own)),
        Number("to the oven now", "s", Estimate.sure(before_s)),
    )
    rests = f"speed follows the dose to the power of 0.7 to 1 (table yeast_strength, a judgement); {NOTHING_LOGGED}"
    return Answer("yeast", asked.formula.id, sentence, numbers, rests, instant < _DILUTE_UNDER_PERCENT)


def _until_oven(asked: Asked, percent: float) -> Floats:
    made = asked.forecast(yeast_percent=percent)
    found: Floats = made.draws.get("oven", made.draws["ready"])
    return found
