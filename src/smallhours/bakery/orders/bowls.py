"""Bowls: how a dough is split over them and which mixers can take how much."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from smallhours.bakery.formula.balance import Stiffness
from smallhours.bakery.kitchen.document import Mixer
from smallhours.errors import BadInput, OutOfRange

MOST_BOWLS = 500
_SLACK_G = 1e-6


@dataclass(frozen=True)
class BowlRange:
    """What one mixer takes of one dough, in grams."""

    mixer: str
    name: str
    min_g: float
    max_g: float

    def takes(self, mass_g: float) -> bool:
        """Whether the bowl is neither too full nor too empty with this mass."""
        return self.min_g - _SLACK_G <= mass_g <= self.max_g + _SLACK_G


def bowl_range(mixer: Mixer, stiffness: Stiffness) -> BowlRange:
    """The range of one mixer for a dough of this stiffness.

    Where a mixer gives no figure for stiff or wet doughs, its figure for medium ones holds: the kitchen knows its
    mixers, and a made-up derating would be false precision.
    """
    most = mixer.max_dough_g
    if stiffness == "stiff" and mixer.max_stiff_g is not None:
        most = mixer.max_stiff_g
    if stiffness == "wet" and mixer.max_wet_g is not None:
        most = mixer.max_wet_g
    return BowlRange(mixer.id, mixer.name, min(mixer.min_dough_g, most), most)


def bowl_ranges(mixers: Sequence[Mixer], stiffness: Stiffness) -> tuple[BowlRange, ...]:
    """The ranges of all mixers that can take any of this dough, largest bowl first."""
    ranges = [bowl_range(mixer, stiffness) for mixer in mixers]
    return tuple(sorted((r for r in ranges if r.max_g > 0), key=lambda r: (-r.max_g, r.min_g, r.mixer)))


def within(ranges: Sequence[BowlRange], most_g: float) -> tuple[BowlRange, ...]:
    """The ranges of bowls none of which is filled with more than ``most_g``; a bowl that then could not be used at all
    stays as it is.

    >>> [r.max_g for r in within([BowlRange("a", "A", 3000, 25000), BowlRange("b", "B", 1000, 8000)], 2500)]
    [25000, 2500]
    >>> [r.max_g for r in within([BowlRange("a", "A", 3000, 25000), BowlRange("b", "B", 1000, 8000)], 12000)]
    [12000, 8000]
    """
    return tuple(r if most_g < r.min_g else BowlRange(r.mixer, r.name, r.min_g, min(r.max_g, most_g)) for r in ranges)


def split(mass_g: float, minimum_g: float, maximum_g: float) -> tuple[float, ...]:
    """Equal batches of a dough: as few as the largest bowl allows.

    The number is ``ceil(mass / maximum)``. When even that makes batches under the minimum, no number of batches
    holds both limits (fewer are too large, more are smaller still), and the batches stay under the minimum: the
    caller says so to the baker.

    Parameters: masses in g; 0 <= minimum <= maximum, 0 < maximum.
    Returns: the masses in g, all equal, adding up to ``mass_g``; nothing for a mass of 0.
    Raises: BadInput when the limits are not in order, OutOfRange when it would take more than ``MOST_BOWLS`` bowls.
    Source: common practice of the trade (the fewest equal batches).

    >>> split(70_000, 4_000, 30_000)
    (23333.333333333332, 23333.333333333332, 23333.333333333332)
    """
    if not (math.isfinite(mass_g) and mass_g >= 0):
        raise BadInput(f"a dough of {mass_g} g cannot be split: its mass must be a number from 0 up")
    if not (0 <= minimum_g <= maximum_g and maximum_g > 0):
        raise BadInput(f"a bowl cannot hold from {minimum_g:g} g to {maximum_g:g} g: give 0 <= minimum <= maximum")
    if mass_g == 0:
        return ()
    number = max(1, math.ceil((mass_g - _SLACK_G) / maximum_g))
    if number > MOST_BOWLS:
        raise OutOfRange(
            f"{mass_g / 1000:g} kg of one dough would take {number} bowls of {maximum_g / 1000:g} kg in one night; "
            f"at most {MOST_BOWLS} can be planned: check the number of pieces"
        )
    return (mass_g / number,) * number


def share(mass_g: float, ranges: Sequence[BowlRange]) -> tuple[float, ...]:
    """Batches of a dough for several bowls of different size.

    The rules, first that works: (1) the fewest equal batches for the largest bowl, if some bowl takes such a
    batch; (2) as many batches, all but the last filling the largest bowl and the last one in a smaller bowl;
    (3) up to three batches more, equal; (4) as (1), although they are under every minimum.
    """
    largest = max(ranges, key=lambda r: r.max_g)
    equal = split(mass_g, largest.min_g, largest.max_g)
    if not equal or any(r.takes(equal[0]) for r in ranges):
        return equal
    rest = mass_g - (len(equal) - 1) * largest.max_g
    if len(equal) > 1 and any(r.takes(rest) for r in ranges):
        return (largest.max_g,) * (len(equal) - 1) + (rest,)
    for number in range(len(equal) + 1, len(equal) + 4):
        if any(r.takes(mass_g / number) for r in ranges):
            return (mass_g / number,) * number
    return equal


def takers(mass_g: float, ranges: Sequence[BowlRange]) -> tuple[str, ...]:
    """The ids of the mixers that can take this mass, the one whose bowl it fills best first."""
    return tuple(r.mixer for r in sorted(ranges, key=lambda r: (r.max_g, r.mixer)) if r.takes(mass_g))
