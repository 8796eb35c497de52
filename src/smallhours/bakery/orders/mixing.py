"""The bowls a part can be mixed in."""

from __future__ import annotations

from smallhours.bakery.formula.balance import balance, stiffness
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.part_amounts import part_amounts
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.bowls import BowlRange, bowl_ranges
from smallhours.bakery.orders.products import mixes_in_mixer
from smallhours.bakery.pantry import Pantry

_UNIT_G = 1000.0


def mixer_ranges(formula: Formula, part_id: str, kitchen: Kitchen, pantry: Pantry) -> tuple[BowlRange, ...]:
    """What each mixer takes of this part; nothing for a part that is not mixed in one.

    A part without a mix of its own that takes in a mixed dough (a laminated dough, a dough with inclusions folded
    in) is made in as many lots as that dough, so that each goes on with the dough of one bowl; see ``follows``.
    """
    if not mixes_in_mixer(formula, part_id):
        return ()
    has_flour = part_amounts(formula, part_id, _UNIT_G, pantry).flour_g > 0
    firm = stiffness(balance(formula, pantry, part_id)) if has_flour else "medium"
    return bowl_ranges(kitchen.mixers, firm)


def follows(formula: Formula, part_id: str, kitchen: Kitchen, pantry: Pantry) -> tuple[BowlRange, ...]:
    """For a part that is not mixed itself: the bowls of the dough inside it, as masses of the whole part."""
    amounts = part_amounts(formula, part_id, _UNIT_G, pantry)
    for amount in amounts.parts[part_id].lines:
        inner = amount.line.part
        if inner is None or amount.mass_g <= 0 or formula.part(inner).kind not in ("dough", "batter"):
            continue
        grows = _UNIT_G / amount.mass_g
        ranges = mixer_ranges(formula, inner, kitchen, pantry) or follows(formula, inner, kitchen, pantry)
        if ranges:
            return tuple(BowlRange(r.mixer, r.name, r.min_g * grows, r.max_g * grows) for r in ranges)
    return ()
