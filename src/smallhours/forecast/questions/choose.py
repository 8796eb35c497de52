"""Bake tonight, or keep it in the cold until it is wanted?"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.bakery.formula.document import Way
from smallhours.errors import BadInput
from smallhours.forecast.ensemble import share_of
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.formula_forecast import ways_of
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, proving_stage, said, spread
from smallhours.science.ranges import checked

_USUAL_FRESH_S = 24 * 3600.0
_LEAST_NIGHT_S, _MOST_NIGHT_S = 4 * 3600.0, 18 * 3600.0


@dataclass(frozen=True)
class _Retard:
    """A night in the cold that ends in time: how long, whether the formula allows it, chance of over-proofing."""

    length_s: float
    allowed: bool
    over_share: float


def bake_or_retard(asked: Asked, due: dt.datetime) -> Answer:
    """Should it go straight through, or spend the night in the fridge, to be fresh when it is due?

    The conditions must say when the mixing starts.
    Raises: BadInput without a start, for a due time without time zone or one that is not within three days after the
    start, or for a formula that does not rise.
    """
    start = asked.conditions.start
    if start is None or due.tzinfo is None:
        raise BadInput("to choose between baking and the fridge, say when the mixing starts and when it is due")
    gap_s = checked((due - start).total_seconds(), "the time from the mixing to when it is due", 0.0, 72 * 3600.0, "s")
    straight = asked.forecast()
    in_time = share_of(straight.draws["ready"] <= gap_s, asked.ensemble.weights)
    age_s = gap_s - straight.ready.median
    fresh_s = asked.formula.fresh_s or _USUAL_FRESH_S
    retard = _retarded(asked, gap_s)
    numbers = [
        Number("ready if baked straight", "s", straight.ready),
        Number("in time if baked straight", "fraction", Estimate.sure(in_time)),
        Number("age when due", "s", Estimate.sure(max(0.0, age_s))),
    ]
    if retard is not None:
        numbers += [
            Number("night in the fridge", "s", Estimate.sure(retard.length_s)),
            Number("chance of over-proofing", "fraction", Estimate.sure(retard.over_share)),
        ]
    sentence, look = _choice(in_time, age_s, fresh_s, retard)
    told = f"Baked straight it is done {spread(straight.ready)} after the mixing. {sentence}"
    rests = f"the formula's own times moved to here, and how yeast slows down in the cold; {NOTHING_LOGGED}"
    return Answer("retard-or-bake", asked.formula.id, told, tuple(numbers), rests, look)


def _retarded(asked: Asked, gap_s: float) -> _Retard | None:
    """The night in the fridge after which it is done when due; None if there is no time for one."""
    stage = proving_stage(asked.formula, None, in_the_cold=True)
    way: Way | None = next((w for w in ways_of(stage, 0) if w.place == "fridge"), None)
    ways = {**asked.conditions.ways, stage.key: "fridge"}
    length_s = 8 * 3600.0
    for _ in range(2):  # the rest of the way depends a little on how long the night was
        made = asked.forecast(ways=ways, lengths_s={**asked.conditions.lengths_s, stage.key: length_s})
        length_s += gap_s - made.ready.median
        if length_s < 1800.0:
            return None
        length_s = min(length_s, 60 * 3600.0)
    one = asked.forecast(ways=ways, lengths_s={**asked.conditions.lengths_s, stage.key: length_s}).stage(stage.key)
    if way is None:
        low_s, high_s = _LEAST_NIGHT_S, _MOST_NIGHT_S
    else:
        temper_s = way.temper_s or 0.0
        low_s, high_s = (way.min_s or way.duration_s) - temper_s, (way.max_s or way.duration_s) - temper_s
    return _Retard(length_s, low_s <= length_s <= high_s, one.over_cold_share or 0.0)


def _choice(in_time: float, age_s: float, fresh_s: float, retard: _Retard | None) -> tuple[str, bool]:
    fits = retard is not None and retard.allowed and retard.over_share < 0.2
    if in_time < 0.5:
        return "That is too late for when it is due: start sooner, more yeast, or a warmer place.", True
    if age_s <= fresh_s * 0.25 or not fits:
        night = ""
        if retard is None:
            night = " For a night in the fridge there is no time."
        elif not retard.allowed:
            night = f" A night in the fridge would be {said(retard.length_s)}: the formula does not allow that."
        elif not fits:
            night = f" In the fridge it would be over-proofed in {retard.over_share * 100:.0f} of 100 cases."
        stale = age_s > fresh_s
        old = f" It would be {said(age_s)} old when due" + (", no longer fresh." if stale else ".") if age_s > 0 else ""
        return f"Bake it straight.{old}{night}", stale or in_time < 0.9
    assert retard is not None
    return (
        f"It would be {said(age_s)} old when due. Put it in the fridge for {said(retard.length_s)} instead: "
        f"fresh when due, over-proofed in {retard.over_share * 100:.0f} of 100 cases.",
        False,
    )
