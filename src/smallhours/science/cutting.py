"""What is cut from a sheet, what is left over, and what rolling the scraps out again gives."""

from __future__ import annotations

import math
from dataclasses import dataclass

from smallhours.errors import OutOfRange
from smallhours.science.pans import arranged
from smallhours.science.ranges import checked, checked_positive

_MOST_REROLLS = 10


@dataclass(frozen=True)
class Cutting:
    """Pieces from the first sheet, from its scraps, from theirs and so on, and what is left in the end [g]."""

    pieces: tuple[int, ...]
    scraps_g: float

    @property
    def count(self) -> int:
        """All pieces."""
        return sum(self.pieces)


def rounds_fraction(length_mm: float, width_mm: float, cutter_mm: float, gap_mm: float = 0.0) -> float:
    """Which share of a sheet becomes rounds of this cutter? [fraction of the area]

    ``gap_mm``: dough left between two cuts. At most 0.785 in square rows and 0.907 in staggered ones on a large sheet.

    Raises OutOfRange as ``pans.arranged``, also if no round fits.

    Source: rounds counted by ``pans.arranged``, times their area.

    >>> round(rounds_fraction(600.0, 400.0, 100.0), 3)
    0.785
    """
    count = arranged(length_mm, width_mm, cutter_mm, gap_mm).count
    return count * math.pi / 4.0 * cutter_mm * cutter_mm / (length_mm * width_mm)


def cut_with_rerolls(
    dough_g: float,
    piece_g: float,
    cut_fraction: float,
    rerolls_count: int = 0,
    fresh_share_fraction: float = 1.0,
) -> Cutting:
    """How many pieces come from a sheet when its scraps are rolled out again so many times, and what is left?

    ``piece_g``: mass of one piece; ``cut_fraction``: share of each sheet that becomes pieces (``rounds_fraction``, or 1
    for squares); ``fresh_share_fraction``: how much of the scraps is fit to be rolled again (worked dough gets tough).
    ``scraps_g`` of the answer: all that did not become pieces.

    Raises OutOfRange for masses that are not positive, shares outside 0 to 1 or more than 10 times.

    Source: mass balance of each sheet.

    >>> cut_with_rerolls(3000.0, 60.0, 0.785, rerolls_count=2)
    Cutting(pieces=(39, 8, 2), scraps_g=60.0)
    """
    left = checked_positive(dough_g, "the mass of dough", "g")
    piece = checked_positive(piece_g, "the mass of a piece", "g")
    share = checked(cut_fraction, "the share that is cut", 0.0, 1.0, "of a sheet")
    again = checked(fresh_share_fraction, "the scraps fit to be rolled again", 0.0, 1.0, "of them")
    times = int(checked(rerolls_count, "how often scraps are rolled again", 0, _MOST_REROLLS, "times"))
    if share == 0.0:
        raise OutOfRange("the share that is cut must be more than 0 of a sheet (found 0)")
    pieces, lost = [], 0.0
    for turn in range(times + 1):
        # a shortfall of less than a thousandth of a piece is taken for rounding
        cut = math.floor(left * share / piece + 1e-3)
        pieces.append(cut)
        left = max(0.0, left - cut * piece)
        if turn < times:
            lost += left * (1.0 - again)
            left *= again
    return Cutting(tuple(pieces), left + lost)
