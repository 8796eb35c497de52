"""How cold or warm must the liquid be today, for one bowl of a formula?"""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import shelf
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.bowls import takers
from smallhours.bakery.orders.mixing import mixer_ranges
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.bowl import Measured
from smallhours.bakery.process.liquid import LiquidAnswer, liquid_for
from smallhours.errors import BadInput, NotFound

BY_HAND = "by-hand"


@dataclass(frozen=True)
class FindLiquid:
    """``part``: the main part if not said (or the part inside it that has a target temperature); ``mass_g``: of the
    bowl at weigh-up; ``mixer``: an id, ``by-hand``, or the one the batch fills best; ``measured``: today's readings in
    place of the kitchen's."""

    formula: str
    part: str | None = None
    mass_g: float = 10_000.0
    mixer: str | None = None
    measured: Measured | None = None


def find_liquid(command: FindLiquid, actor: Actor = BAKER) -> LiquidAnswer:
    """The answer, by the trade's sum rule and by heat balance; what cannot be is in it as a refusal.

    Raises NotFound for an unknown formula, part or mixer, BadInput if no mixer takes so much or the part has nothing to
    steer, OutOfRange for a mass or target that cannot be.
    """
    require(actor, "look")
    held = shelf()
    formula, kitchen, pantry = held.whole_formula(command.formula), held.the_kitchen(), held.pantry()
    part_id = _part(formula) if command.part is None else command.part
    if part_id not in {part.id for part in formula.parts}:
        there = ", ".join(part.id for part in formula.parts)
        raise NotFound(f"formula {formula.id!r} has no part {part_id!r} (there are: {there})")
    mixer = _mixer(formula, part_id, command, kitchen, pantry)
    return liquid_for(formula, pantry, kitchen, part_id, command.mass_g, mixer, command.measured)


def _part(formula: Formula) -> str:
    main = formula.part(formula.main)
    if main.target_temp_c is None:
        for line in main.lines:
            if line.part is not None and formula.part(line.part).target_temp_c is not None:
                return line.part
    return main.id


def _mixer(formula: Formula, part_id: str, command: FindLiquid, kitchen: Kitchen, pantry: Pantry) -> str | None:
    if command.mixer == BY_HAND:
        return None
    known = [mixer.id for mixer in kitchen.mixers]
    if command.mixer is not None:
        if command.mixer not in known:
            raise NotFound(f"the kitchen has no mixer {command.mixer!r} (it has: {', '.join(known) or 'none'})")
        return command.mixer
    ranges = mixer_ranges(formula, part_id, kitchen, pantry)
    found = takers(command.mass_g, ranges)
    if found or not ranges:
        return found[0] if found else None
    bowls = "; ".join(f"{one.name} {one.min_g / 1000:g} to {one.max_g / 1000:g} kg" for one in ranges)
    what = f"{command.mass_g / 1000:g} kg of {formula.part(part_id).name}"
    raise BadInput(f"no mixer takes {what} ({bowls}); name a mixer, or {BY_HAND}")
