"""What changes when the pieces are larger or smaller?"""

from __future__ import annotations

from smallhours.errors import BadInput
from smallhours.forecast.ensemble import estimates
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Asked, Number, said, spread
from smallhours.science.ranges import checked

_SHOWN = ("chill", "proof", "ferment", "rest", "retard", "temper", "bake")


def what_if_pieces_are(asked: Asked, mass_ratio: float = 2.0) -> Answer:
    """What do stages take with pieces of so many times the mass, against what they take here now?

    Raises: OutOfRange for a ratio outside 0.1 to 10; BadInput if the formula does not say how large its pieces are.
    Source: a dough's time constant goes with its thickness and more; bake time with its size to the power of 1.2 to 2.
    """
    checked(mass_ratio, "the ratio of the piece masses", 0.1, 10.0, "")
    own = asked.formula.output
    mass_g = None if own is None else own.piece_mass_g or own.baked_mass_g
    if mass_g is None:
        raise BadInput(f"formula {asked.formula.id!r} does not say how large its pieces are: write it as its output")
    now_g = asked.conditions.piece_mass_g or mass_g
    now, then = asked.forecast(piece_mass_g=now_g), asked.forecast(piece_mass_g=now_g * mass_ratio)
    numbers = [Number("piece", "g", Estimate.sure(now_g * mass_ratio))]
    told = []
    for a, b in zip(now.stages, then.stages, strict=True):
        changed = abs(b.length.median - a.length.median)
        if a.kind in _SHOWN and a.length.median > 0 and changed >= 30.0:
            grown = b.draws["length"] / a.draws["length"].clip(1.0)
            ratio = estimates({"ratio": grown}, asked.ensemble.weights)["ratio"]
            numbers += [Number(a.key, "s", b.length), Number(f"{a.key}, times", "times", ratio)]
            told.append(f"{a.name} {said(a.length.median)} becomes {spread(b.length)}")
    numbers.append(Number("ready", "s", then.ready))
    sentence = (
        f"Pieces of {now_g * mass_ratio:.0f} g in place of {now_g:.0f} g: "
        + ("; ".join(told) if told else "no stage changes by half a minute")
        + f". Done {spread(then.ready)} after the mixing. Judge the bake by the core."
    )
    rests = f"how heat moves into pieces of this shape; the bake from the formula's own; {NOTHING_LOGGED}"
    return Answer("bigger", asked.formula.id, sentence, tuple(numbers), rests)
