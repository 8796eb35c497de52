"""What a pan holds and how many pieces fit on a tray or into a round pan."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from smallhours.errors import OutOfRange
from smallhours.science.ranges import checked, checked_not_negative, checked_positive

# smallest diameter of a circle that holds 1, 2, 3 ... equal circles, in diameters of one of them
_ROUND_RATIOS = (
    1.0, 2.0, 2.154701, 2.414214, 2.701302, 3.0, 3.0, 3.304765, 3.613126, 3.813026,
    3.923804, 4.029602, 4.236068, 4.328429, 4.521357, 4.615426, 4.792034, 4.863703, 4.863703, 5.122321,
)  # fmt: skip
_WIDEST_RATIO = 5.122321
# a fit this close (in diameters of a piece) counts as fitting
_SNUG = 1e-6


def box_volume_ml(length_mm: float, width_mm: float, depth_mm: float) -> float:
    """How much does a straight-sided tin hold, from its inside measures? [ml]

    Nominal sizes overstate it: fill it with water if it matters.

    Raises OutOfRange for a measure that is not positive.

    Source: volume of a box.
    """
    return tapered_volume_ml(length_mm, width_mm, length_mm, width_mm, depth_mm)


def tapered_volume_ml(
    top_length_mm: float, top_width_mm: float, bottom_length_mm: float, bottom_width_mm: float, depth_mm: float
) -> float:
    """How much does a tin with sloping sides hold, from its inside measures? [ml]

    Raises OutOfRange for a measure that is not positive.

    Source: prismoidal formula, exact for flat sides.

    >>> round(tapered_volume_ml(300.0, 100.0, 280.0, 90.0, 90.0))
    2481
    """
    lengths = [checked_positive(x, "the length of a tin", "mm") for x in (top_length_mm, bottom_length_mm)]
    widths = [checked_positive(x, "the width of a tin", "mm") for x in (top_width_mm, bottom_width_mm)]
    ends = lengths[0] * widths[0] + lengths[1] * widths[1]
    middle = sum(lengths) / 2.0 * sum(widths) / 2.0
    return checked_positive(depth_mm, "the depth of a tin", "mm") * (ends + 4.0 * middle) / 6.0 / 1000.0


def round_volume_ml(top_diameter_mm: float, bottom_diameter_mm: float, depth_mm: float) -> float:
    """How much does a round pan hold, from its inside measures? [ml]

    Raises OutOfRange for a measure that is not positive.

    Source: volume of a truncated cone.
    """
    top = checked_positive(top_diameter_mm, "the diameter of a pan", "mm")
    bottom = checked_positive(bottom_diameter_mm, "the diameter of a pan", "mm")
    depth = checked_positive(depth_mm, "the depth of a pan", "mm")
    return math.pi * depth * (top * top + top * bottom + bottom * bottom) / 12.0 / 1000.0


def tin_dough_g(volume_ml: float, tin_factor_ml_per_g: float) -> float:
    """How much dough goes into a tin? [g]

    ``tin_factor_ml_per_g``: ml of tin for each gram of dough, about 1.6 (rye) to 4.4 (light white).

    Raises OutOfRange for a volume that is not positive or a factor outside 1 to 8 ml/g.

    Source: common practice: volume / factor.

    >>> round(tin_dough_g(2360.0, 3.06))
    771
    """
    factor = checked(tin_factor_ml_per_g, "the tin factor", 1.0, 8.0, "ml/g")
    return checked_positive(volume_ml, "the volume of a tin", "ml") / factor


@dataclass(frozen=True)
class Arrangement:
    """Pieces on a tray. ``pattern``: ``square`` rows or ``staggered`` ones; ``rows``: how many pieces in each."""

    pattern: Literal["square", "staggered"]
    rows: tuple[int, ...]

    @property
    def count(self) -> int:
        """How many pieces there are."""
        return sum(self.rows)


def arranged(length_mm: float, width_mm: float, piece_mm: float, gap_mm: float = 0.0) -> Arrangement:
    """How do the most round pieces go onto a tray?

    ``length_mm``, ``width_mm``: inside of the tray; ``piece_mm``: diameter when proofed, or what each piece may take up
    if pieces shall touch; ``gap_mm``: left free between pieces, not at the rim. Rows run along the length or the width,
    whichever holds more; square rows win a tie, as they are easier to count.

    Raises OutOfRange for a size that is not positive, a negative gap or a piece that does not fit.

    Source: enumeration of square and staggered rows; for small trays at most a few pieces short of the best known.

    >>> arranged(600.0, 400.0, 60.0).count
    67
    """
    pitch = checked_positive(piece_mm, "the diameter of a piece", "mm") + checked_not_negative(gap_mm, "the gap", "mm")
    sides = [checked_positive(x, "the size of a tray", "mm") + gap_mm for x in (length_mm, width_mm)]
    if min(sides) < pitch - _SNUG:
        raise OutOfRange(f"a piece of {piece_mm:g} mm does not fit on a tray of {length_mm:g} x {width_mm:g} mm")
    across, along = (side / pitch + _SNUG for side in sides)
    found = [_square(across, along), _square(along, across), _staggered(across, along), _staggered(along, across)]
    return max(found, key=lambda a: a.count)


def round_pan_count(pan_mm: float, piece_mm: float) -> int:
    """How many round pieces fit side by side into a round pan? [count]

    ``pan_mm``: inside diameter; ``piece_mm``: diameter when proofed.

    Raises OutOfRange for sizes that are not positive, a piece that does not fit or a pan more than 5.12 pieces wide.

    Source: densest known packings of equal circles in a circle (proved for up to 13 and 19 circles).

    >>> round_pan_count(240.0, 80.0)
    7
    """
    pan = checked_positive(pan_mm, "the diameter of a pan", "mm")
    ratio = pan / checked_positive(piece_mm, "the diameter of a piece", "mm")
    checked(ratio, "the pan's diameter", 1.0, _WIDEST_RATIO + _SNUG, "pieces across")
    return sum(needed <= ratio + _SNUG for needed in _ROUND_RATIOS)


def _square(across: float, along: float) -> Arrangement:
    return Arrangement("square", (math.floor(across),) * math.floor(along))


def _staggered(across: float, along: float) -> Arrangement:
    rows = 1 + math.floor((along - 1.0) / (math.sqrt(3.0) / 2.0))
    both = (math.floor(across), math.floor(across - 0.5))
    return Arrangement("staggered", tuple(both[row % 2] for row in range(rows)))
