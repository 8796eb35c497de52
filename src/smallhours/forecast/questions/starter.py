"""When is the levain, poolish or sponge ready, and how much does it have to be fed to be ready at another time?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import flour_in, unit_amounts
from smallhours.bakery.formula.document import Part, Stage
from smallhours.bakery.formula.leaven import CULTURE, Leaven, leaven_of, raises
from smallhours.bakery.process.habits import LIVING
from smallhours.errors import BadInput, Impossible
from smallhours.forecast.ensemble import estimates, quantiles
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.formula_forecast import forecast_part
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, said, spread
from smallhours.forecast.stage_forecast import StageForecast
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_RATIOS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.35, 0.6, 1.0, 1.5, 2.5, 4.0, 8.0)
_MOST_FED_PERCENT = 400.0  # of its flour: more culture than that is no feeding any more
_SOONEST_S, _LATEST_S = 1800.0, 36 * 3600.0


@dataclass(frozen=True)
class _Starter:
    """A preferment that is asked about: its part, what raises it, what it is fed with in percent of its own flour."""

    part: Part
    leaven: Leaven
    fed_percent: float
    fed_with: str


def when_is_the_starter_ready(asked: Asked, ready_s: float | None = None, part: str | None = None) -> Answer:
    """When is a levain, poolish or sponge ready after it was fed; and how much it takes to be ready after ``ready_s``.

    ``part``: which preferment (the first that something raises). How much it takes moves the amount only: each member
    is ready now when the baker says it is.
    Raises: BadInput if the formula has no such preferment or none that stands; OutOfRange for a time outside half an
    hour to a day and a half; Impossible if no amount makes it ready then.
    Source: anchored to the formula's own time. A culture's gas goes with what newly grows from what it was fed
    (``science.sourdough``), a yeast's with its dose and its growth (``science.preferments``).
    """
    one = _starter(asked, part)
    stage, ready = _ripening(asked, one)
    _, by = _ripening(asked, one, as_written=True, room_c=None, yeast_percent=None, dough_temp_c=None)
    length = estimates({"ready": ready}, asked.ensemble.weights)["ready"]
    own_s = float(quantiles(by, asked.ensemble.weights, (0.5,))[0])
    before_s = length.median - stage.length.median
    numbers = [
        Number("ready after feeding", "s", length),
        Number("as written", "s", Estimate.sure(own_s)),
        Number("can be used from", "s", Estimate.sure(before_s + stage.earliest.median)),
        Number("can be used until", "s", Estimate.sure(before_s + stage.latest.median)),
        Number("fed in the formula", "% of its flour", Estimate.sure(one.fed_percent)),
    ]
    sentence = _when(asked, one, length, own_s, (numbers[2].value.median, numbers[3].value.median))
    if ready_s is not None:
        checked(ready_s, "when the starter is to be ready", _SOONEST_S, _LATEST_S, "s")
        fed = _fed(asked, one, ready, ready_s)
        numbers.append(Number("feed", "% of its flour", fed))
        sentence += (
            f" To be ready {said(ready_s)} after it is fed, give it {_percent(fed.median)} {one.fed_with} on its flour "
            f"in place of {_percent(one.fed_percent)} ({_percent(fed.low)} to {_percent(fed.high)})."
        )
    look = stage.reached < 0.9
    if look:
        sentence += " It may never be ready here: find it a warmer place."
    return Answer("starter", asked.formula.id, sentence, tuple(numbers), _rests(one), look)


def _starter(asked: Asked, part_id: str | None) -> _Starter:
    amounts = unit_amounts(asked.formula, asked.pantry)
    found = []
    for part in asked.formula.parts:
        leaven = leaven_of(amounts, asked.pantry, part.id)
        if part.kind == "preferment" and leaven.living and any(s.kind in LIVING for s in _stages(asked, part.id)):
            rows = {line.key: line.mass_g for line in amounts.parts[part.id].lines if line.line.part is None}
            kinds = {key: asked.pantry.find(key) for key in rows}
            of_culture = leaven.culture_percent > 0
            fed_g = sum(
                mass for key, mass in rows.items() if raises(kinds[key]) and (kinds[key].kind == CULTURE) == of_culture
            )
            flour_g = flour_in(rows, asked.formula, asked.pantry)
            if fed_g > 0 and flour_g > 0:
                found.append(_Starter(part, leaven, 100.0 * fed_g / flour_g, "culture" if of_culture else "yeast"))
    for one in found:
        if part_id is None or one.part.id == part_id:
            return one
    there = ", ".join(one.part.id for one in found) or "none"
    named = "" if part_id is None else f" {part_id!r}"
    raise BadInput(f"formula {asked.formula.id!r} has no starter{named} that stands until it is ripe (it has: {there})")


def _stages(asked: Asked, part_id: str) -> tuple[Stage, ...]:
    return asked.formula.stages_of(part_id)


def _ripening(asked: Asked, one: _Starter, **changed: object) -> tuple[StageForecast, Floats]:
    """The stage in which a starter ripens, and how long after its mixing began it is ripe, for every member."""
    conditions = asked.conditions.having(**changed)
    stages = forecast_part(asked.formula, asked.pantry, conditions, one.part.id, asked.ensemble)
    last = max(i for i, stage in enumerate(stages) if stage.kind in LIVING)
    fixed_s = stages[last].start_s - stages[0].start_s
    return stages[last], fixed_s + stages[last].draws["length"]


def _fed(asked: Asked, one: _Starter, now: Floats, ready_s: float) -> Estimate:
    """With how much it is ready then, in percent of its flour."""
    import numpy as np

    ratios = [ratio for ratio in _RATIOS if ratio <= 1.0 or one.fed_percent * ratio <= _MOST_FED_PERCENT]
    rows = np.array([_ripening(asked, one, fed_ratio=ratio)[1] for ratio in ratios])
    before_s = float(quantiles(now, asked.ensemble.weights, (0.5,))[0])
    middle = quantiles(rows, asked.ensemble.weights, (0.5,))[0]
    if not middle.min() <= ready_s <= middle.max():
        raise Impossible(
            f"fed with {_percent(one.fed_percent * ratios[0])} to {_percent(one.fed_percent * ratios[-1])} "
            f"{one.fed_with} on its flour, {one.part.id!r} is ready {said(middle.min())} to {said(middle.max())} after "
            f"it, not after {said(ready_s)}: change its temperature instead"
        )
    logs = np.log(ratios)
    wanted = now * (ready_s / before_s)
    found = [np.interp(-w, -column, logs) for w, column in zip(wanted, rows.T, strict=True)]
    return estimates({"fed": one.fed_percent * np.exp(np.array(found))}, asked.ensemble.weights)["fed"]


def _when(asked: Asked, one: _Starter, length: Estimate, own_s: float, use_s: tuple[float, float]) -> str:
    more_s = length.median - own_s
    other = "as the formula says"
    if abs(more_s) >= 60:
        other = f"{said(abs(more_s))} {'later' if more_s > 0 else 'sooner'} than as written"
    clock = asked.clock(-length.median)
    feed = f" To mix at {asked.clock(0.0)}, feed it at {clock}." if clock else ""
    return (
        f"The {one.part.name.lower()}, fed with {_percent(one.fed_percent)} {one.fed_with} on its flour, is ready "
        f"{spread(length)} after it is fed, {other}; use it between {said(use_s[0])} and {said(use_s[1])}.{feed}"
    )


def _rests(one: _Starter) -> str:
    if one.leaven.culture_percent > 0:
        how = "how a culture grows over temperature (tables culture_growth, culture_cold; below 14 °C a guess)"
    else:
        how = "how yeast works and multiplies over temperature (tables yeast_cold, yeast_growth)"
    return f"the formula's own time, moved by {how}; {NOTHING_LOGGED}"


def _percent(value: float) -> str:
    return f"{value:.2f} %" if value < 1.0 else f"{value:.1f} %" if value < 10.0 else f"{value:.0f} %"
