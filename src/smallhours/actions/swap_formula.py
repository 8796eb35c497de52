"""Swap an ingredient of a formula for others: what it would change; or write it."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.saving import Saved
from smallhours.actions.shelf import shelf
from smallhours.bakery.formula.swaps import Swapped, possible_swaps, swap
from smallhours.errors import BadInput


@dataclass(frozen=True)
class SwapInFormula:
    """Which formula and which swap; ``part``: only in this part; ``instead``: another ingredient of the same use."""

    formula: str
    swap: str
    part: str | None = None
    instead: str | None = None


def swaps_of(slug: str, actor: Actor = BAKER) -> tuple[str, ...]:
    """Ids of the swaps that a formula has something for. Raises NotFound, NotAllowed."""
    require(actor, "look")
    held = shelf()
    return possible_swaps(held.whole_formula(slug), held.pantry())


def swap_in_formula(command: SwapInFormula, actor: Actor = BAKER) -> Swapped:
    """The swap before and after; writes nothing. Raises as ``bakery.formula.swaps.swap``, NotAllowed."""
    require(actor, "look")
    held = shelf()
    whole = held.whole_formula(command.formula)
    return swap(whole, held.pantry(), command.swap, command.part, command.instead)


def save_swap(
    command: SwapInFormula, reason: str = "", made_from: int | None = None, actor: Actor = BAKER, clock: Clock = now
) -> Saved:
    """Write the formula with the swap made. ``made_from``: as ``SaveFormula``.

    Raises BadInput for a formula whose dough is another's (the swap belongs there); as ``swap_in_formula`` and
    ``save_formula``.
    """
    require(actor, "save formula")
    base = shelf().formula(command.formula).base
    if base is not None:
        raise BadInput(f"{command.formula} is made from {base}: make the swap in {base}")
    done = swap_in_formula(command, actor)
    return save_formula(SaveFormula(done.formula, reason or f"swap {command.swap}", made_from), actor, clock)
