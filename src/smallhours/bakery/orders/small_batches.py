"""A batch that is too small for every bowl: said plainly, with what would do."""

from __future__ import annotations

import math
from collections.abc import Sequence

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.document import Part
from smallhours.bakery.orders.bowls import BowlRange

BY_HAND_UNDER = 0.5


def too_small(
    batch_id: str, part: Part, mass_g: float, piece_mass_g: float | None, ranges: Sequence[BowlRange]
) -> tuple[tuple[str, ...], Finding]:
    """The mixers to plan such a batch on, and the finding.

    It goes into the bowl with the smallest minimum; under half of that minimum the hook would only push the dough
    around, and it is planned by hand (no mixer). The half is a judgement, not a measurement.
    """
    smallest = min(ranges, key=lambda r: (r.min_g, r.mixer))
    short_g = smallest.min_g - mass_g
    by_hand = mass_g < BY_HAND_UNDER * smallest.min_g
    if piece_mass_g:
        count = math.ceil(short_g / piece_mass_g - 1e-9)
        more = f"add {count} piece{'' if count == 1 else 's'} or merge it with another order of the same dough"
    else:
        more = f"make {short_g:.0f} g more and keep the rest, or merge it with another day's"
    planned = "by hand" if by_hand else f"in {smallest.name}"
    sentence = (
        f"{part.name}: {mass_g:.0f} g is under the smallest a bowl takes ({smallest.name}, from {smallest.min_g:g} g); "
        f"it is planned {planned}; to fill the bowl, {more}" + ("" if by_hand else ", or make it by hand") + "."
    )
    return (() if by_hand else (smallest.mixer,)), Finding("batch_under_bowl_minimum", "warn", batch_id, sentence)


def filled_up(
    batch_id: str, part: Part, mass_g: float, ranges: Sequence[BowlRange]
) -> tuple[float, Finding] | None:  # fmt: skip
    """How much more of a part is made so that it fills the bowl with the smallest minimum, and the finding.

    None for what some bowl takes as it is, or is too much for one.
    """
    if not ranges or any(r.takes(mass_g) for r in ranges):
        return None
    smallest = min(ranges, key=lambda r: (r.min_g, r.mixer))
    over_g = smallest.min_g - mass_g
    if over_g <= 0:
        return None
    sentence = (
        f"{part.name}: {mass_g:.0f} g are needed and {smallest.name} takes {smallest.min_g:g} g or more, so "
        f"{smallest.min_g:g} g are made, as its formula wants (fill_bowl); {over_g:.0f} g are left over."
    )
    return over_g, Finding("dough_left_over", "note", batch_id, sentence)
