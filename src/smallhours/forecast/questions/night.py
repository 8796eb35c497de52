"""What does a night in the cold do, and what if the cold fails?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.forecast.ensemble import estimates, share_of
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, proving_stage, said, spread
from smallhours.forecast.stage_forecast import StageForecast
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_LONGEST_S = 72 * 3600.0
_AHEAD_S = (0.0, 1800.0, 3600.0, 7200.0, 14400.0, 28800.0)
_RESTS_ON = (
    "the formula's own reference and how yeast slows down in the cold, which is the least known figure of all; "
    + NOTHING_LOGGED
)


def what_does_a_night_do(asked: Asked, length_s: float, stage: str | None = None) -> Answer:
    """How risen is the dough after so long in the fridge, and how long does it still need in the room?

    ``stage``: which is spent in the cold (the last one that the formula allows there). The fridge and its door stand
    in the conditions. Ripeness is the gas made over the gas that the formula wants (1: just right).
    Raises: as ``forecast_formula``; OutOfRange for a night of less than a quarter of an hour or more than three days.
    """
    checked(length_s, "the night", 900.0, _LONGEST_S, "s")
    one = _night(asked, length_s, stage)
    ripe, over = one.ripeness_cold or Estimate.sure(0.0), one.over_cold_share or 0.0
    after = estimates({"room": one.draws["length"] - length_s}, asked.ensemble.weights)["room"]
    numbers = (
        Number("ripeness out of the fridge", "of the reference", ripe),
        Number("chance of over-proofing", "fraction", Estimate.sure(over)),
        Number("then in the room", "s", after),
        Number("core out of the room", "°C", one.at_end.core),
        Number("rise", "times", one.rise),
    )
    air_c = round(one.air_c or 0.0, 1)
    sentence = (
        f"After {said(length_s)} in a fridge of {air_c:g} °C it has {ripe.median * 100:.0f} % of the gas it needs "
        f"({ripe.low * 100:.0f} to {ripe.high * 100:.0f} %): {_verdict(ripe, over, one)} "
    )
    if after.median < 60:
        later = "" if after.high < 60 else f", or wants up to {said(after.high)} in the room"
        sentence += f"It can go straight on{later}."
    else:
        sentence += f"It then wants {spread(after)} in the room."
    return Answer("night", asked.formula.id, sentence, numbers, _RESTS_ON, over >= 0.1)


def fridge_failed(
    asked: Asked, failed_after_s: float, now_after_s: float, now_c: float, stage: str | None = None
) -> Answer:
    """The fridge failed so long after the dough went in and is ``now_c`` warm: how far is it, how long is there left?

    From the failure on the air warms towards the room, at the pace that brought it to where it is now.
    Raises: OutOfRange for times and temperatures that cannot be; BadInput if now is not after the failure or colder
    than the fridge was.
    """
    checked(failed_after_s, "the time of the failure", 0.0, _LONGEST_S, "s after it went in")
    checked(now_after_s, "the time until now", 60.0, _LONGEST_S, "s after it went in")
    path = _failed_path(asked, failed_after_s, now_after_s, now_c)
    key = proving_stage(asked.formula, stage, in_the_cold=True).key
    own = asked.conditions.having(cold_path=path, ways={**asked.conditions.ways, key: "fridge"})
    asked = Asked(asked.formula, asked.pantry, own, asked.ensemble)
    courses = [_night(asked, now_after_s + ahead, key) for ahead in _AHEAD_S]
    rows = [one.draws["ripeness_cold"] for one in courses]
    now, most = courses[0], courses[0].most_ripeness or 1.0
    ripe_s, over_s = _reached(rows, 1.0), _reached(rows, most)
    weights = asked.ensemble.weights
    found = estimates({"ripe": ripe_s, "over": over_s}, weights)
    ripe = now.ripeness_cold or Estimate.sure(0.0)
    too_late = share_of(rows[0] > most, weights)
    numbers = (
        Number("ripeness now", "of the reference", ripe),
        Number("ripe in", "s", found["ripe"]),
        Number("over-proofed in", "s", found["over"]),
        Number("chance that it is over-proofed now", "fraction", Estimate.sure(too_late)),
    )
    sentence = (
        f"It has {ripe.median * 100:.0f} % of the gas it needs ({ripe.low * 100:.0f} to {ripe.high * 100:.0f} %). "
        + _left(found["ripe"], found["over"])
    )
    return Answer("fridge-failed", asked.formula.id, sentence, numbers, _RESTS_ON, found["over"].low < 4 * 3600.0)


def _night(asked: Asked, length_s: float, stage: str | None) -> StageForecast:
    key = proving_stage(asked.formula, stage, in_the_cold=True).key
    ways = {**asked.conditions.ways, key: "fridge"}
    return asked.forecast(ways=ways, lengths_s={**asked.conditions.lengths_s, key: length_s}).stage(key)


def _verdict(ripe: Estimate, over: float, one: StageForecast) -> str:
    if ripe.low > (one.most_ripeness or 1.0):
        return "it is over-proofed."
    if over >= 0.1:
        return f"in {over * 100:.0f} of 100 cases it is over-proofed; look at it earlier."
    if ripe.median >= 1.0:
        return "it is ready, not over-proofed."
    return "it is not over-proofed."


def _failed_path(asked: Asked, failed_s: float, now_s: float, now_c: float) -> tuple[tuple[float, float], ...]:
    """The air of the fridge: as it was, then ever slower towards the room, through what it is now."""
    import numpy as np

    conditions = asked.conditions
    fridge_c = float(conditions.place_c("fridge", np.zeros(1), 0.0, None)[0])
    room_c = float(conditions.place_c("room", np.zeros(1), now_s, None)[0])
    if not failed_s < now_s:
        raise BadInput("a fridge that has failed must have done so before now")
    if not fridge_c < now_c < room_c:
        raise BadInput(
            f"a failed fridge stands between its own {fridge_c:g} °C and the room's {room_c:g} °C (found {now_c:g} °C)"
        )
    tau_s = (now_s - failed_s) / math.log((room_c - fridge_c) / (room_c - now_c))
    path = [(0.0, fridge_c)] if failed_s > 0 else []
    for after in np.linspace(0.0, now_s - failed_s + _AHEAD_S[-1], 33).tolist():
        path.append((failed_s + after, room_c + (fridge_c - room_c) * math.exp(-after / tau_s)))
    return tuple(path)


def _reached(rows: list[Floats], wanted: float) -> Floats:
    """When each member has so much gas, in s from now, at most the last time looked at."""
    import numpy as np

    made = np.maximum.accumulate(np.array(rows), axis=0)
    found = [np.interp(wanted, column + np.arange(len(rows)) * 1e-12, _AHEAD_S) for column in made.T]
    return np.array(found)


def _left(ripe: Estimate, over: Estimate) -> str:
    horizon = _AHEAD_S[-1]
    if over.median < 60:
        return "It is over-proofed: bake what can be saved at once, or knock it back."
    end = "more than 8 h" if over.median >= horizon else said(over.median)
    soon = "" if over.low >= horizon else f", but not before {said(over.low)}" if over.low > 60 else ", perhaps already"
    if ripe.median < 60:
        return f"Bake it now; left there it is over-proofed in {end}{soon}."
    ready = "in more than 8 h" if ripe.median >= horizon else f"in {said(ripe.median)}"
    return f"Left there it is ripe {ready} and over-proofed in {end}{soon}; move it to a cold place, or bake by then."
