"""When will it be ready?"""

from __future__ import annotations

from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, said, spread


def when_ready(asked: Asked) -> Answer:
    """When is it ready for the oven, and when is all done, under these conditions? In seconds from the mixing.

    Raises: as ``forecast_formula``.
    """
    made = asked.forecast()
    usual = asked.forecast(as_written=True, room_c=None, yeast_percent=None, piece_mass_g=None, dough_temp_c=None)
    numbers = [Number("ready", "s", made.ready), Number("as written", "s", usual.ready)]
    target, told = made.ready, "done"
    if made.to_oven is not None:
        numbers.insert(0, Number("to the oven", "s", made.to_oven))
        target, told = made.to_oven, "ready for the oven"
    by = usual.to_oven if made.to_oven is not None and usual.to_oven is not None else usual.ready
    more_s = target.median - by.median
    clock = asked.clock(target.median)
    at = f", at {clock} ({asked.clock(target.low)} to {asked.clock(target.high)})" if clock else ""
    moved = f" {made.moved_by.sentence[0].upper()}{made.moved_by.sentence[1:]}." if made.moved_by else ""
    other = "as the formula says" if abs(more_s) < 60 else f"{said(abs(more_s))} {'later' if more_s > 0 else 'sooner'}"
    sentence = (
        f"It is {told} {spread(target)} after the mixing begins{at}; {other} than under the formula's conditions."
    )
    sentence = sentence.replace("as the formula says than under the formula's conditions", "just as the formula says")
    rests = f"the formula's own times, moved by yeast's activity and by how heat moves; {NOTHING_LOGGED}"
    unsure = f"; least known is {made.least_known}" if made.least_known else ""
    return Answer("ready", asked.formula.id, sentence + moved, tuple(numbers), rests + unsure)
