"""How cold or warm must the liquid be tonight, for one part of a formula?"""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import shelf
from smallhours.bakery.orders.bowls import takers
from smallhours.bakery.orders.mixing import mixer_ranges
from smallhours.bakery.process.bowl import Measured
from smallhours.bakery.process.liquid import LiquidAnswer, liquid_for


BY_HAND = "by-hand"


@dataclass(frozen=True)
class FindLiquid:
    """Which formula, which part (the main one if not said), how much of it, in which mixer, what was measured.

    ``mixer``: the one whose bowl it fills best, if not said; ``by-hand`` for none.
    """

    formula: str
    part: str | None = None
    mass_g: float = 10_000.0
    mixer: str | None = None
    measured: Measured | None = None


def find_liquid(command: FindLiquid, actor: Actor = BAKER) -> LiquidAnswer:
    """The answer; a target that cannot be met is in it, not an error.

    Raises NotFound for an unknown formula, part or mixer, or without a kitchen; BadInput if the part has no target
    temperature or no liquid; OutOfRange for a mass or temperature that cannot be; NotAllowed.
    """
    require(actor, "look")
    held = shelf()
    whole = held.whole_formula(command.formula)
    part = command.part or whole.main
    mixer = command.mixer
    if mixer is None:
        ranges = mixer_ranges(whole, part, held.the_kitchen(), held.pantry())
        mixer = next(iter(takers(command.mass_g, ranges)), None)
    elif mixer == BY_HAND:
        mixer = None
    return liquid_for(whole, held.pantry(), held.the_kitchen(), part, command.mass_g, mixer, command.measured)
