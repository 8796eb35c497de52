"""How long from the fridge until butter bends, and what is it in this formula: do layers break, does filling spread?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.bakery.process.bowl import is_butter
from smallhours.forecast.butter_block import Softness, block_of, reached_s, softness
from smallhours.forecast.ensemble import estimates, share_of
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Number, said, spread
from smallhours.forecast.questions.butter_in_dough import butter_in
from smallhours.forecast.questions.here import Here
from smallhours.reference.defaults import butter_melting, fat_window
from smallhours.science.milk_fat import Block
from smallhours.science.ranges import checked
from smallhours.science.thermal_properties import (
    conductivity_w_per_m_k,
    density_kg_per_m3,
    specific_heat_j_per_g_k,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PACK_G = 250.0
_LONGEST_S = 48 * 3600.0
_BUTTER, _AT_C = "butter-unsalted", 10.0
_RESTS_ON = (
    "the solid share of milk fat over temperature, known to 5 points, the heat that melting takes, and the air around "
    "the block; how the butter was churned and worked is not in it: trust the thumb; "
)


def how_soft_is_butter(
    here: Here,
    mass_g: float = PACK_G,
    thickness_mm: float | None = None,
    on_rack: bool = False,
    butter_c: float | None = None,
) -> Answer:
    """How long must a block of butter stand from the fridge in this room until it is pliable, and until too soft?

    ``thickness_mm``: of a flat block (without it, in the proportions of a pack); ``on_rack``: air reaches its
    underside; ``butter_c``: of the butter that goes into the dough, if not the formula's own. Pliable is what can be
    rolled in, or, for a formula without a roll-in, what works into a dough. With a formula also: its layers, its
    filling, the butter in its dough, each from what the formula itself has.

    Raises: OutOfRange for a block that cannot be; NotFound as ``forecast_formula``.
    Source: ``science.milk_fat``; windows in table fat_windows.
    """
    checked(mass_g, "the mass of the block", 10.0, 50_000.0, "g")
    if thickness_mm is not None:
        checked(thickness_mm, "the thickness of the block", 3.0, 500.0, "mm")
    laminated = here.formula is None or any(part.kind == "roll-in" for part in here.formula.parts)
    stuff = _butter_of(here.formula, here.pantry)
    soft = softness(here.ensemble, fat_window("roll-in" if laminated else "spreadable"))
    block = block_of(mass_g, thickness_mm, _properties(stuff, here.pantry), on_rack)
    told, numbers, look = _block(here, block, soft, stuff)
    more = () if here.formula is None else butter_in(here, butter_c)
    sentence = " ".join([told, *(one.sentence for one in more)])
    numbers += tuple(number for one in more for number in one.numbers)
    look = look or any(one.look for one in more)
    return Answer("butter", here.formula_id, sentence, numbers, _RESTS_ON + NOTHING_LOGGED, look)


def _block(here: Here, block: Block, soft: Softness, stuff: Stuff) -> tuple[str, tuple[Number, ...], bool]:
    room_c, fridge_c = here.room_c(), here.fridge_c()
    melting = butter_melting(stuff.composition.fat_fraction or 0.81)
    rows = {
        "pliable": reached_s(block, here.ensemble, melting, fridge_c, room_c, soft.firm_c, False),
        "too soft": reached_s(block, here.ensemble, melting, fridge_c, room_c, soft.soft_c, True),
    }
    weights = here.ensemble.weights
    reached = share_of(rows["pliable"] < _LONGEST_S, weights)
    found = estimates({name: row.clip(0.0, _LONGEST_S) for name, row in rows.items()}, weights)
    firm = estimates({"firm": soft.firm_c, "soft": soft.soft_c}, weights)
    numbers = (
        Number("pliable to its middle", "s", found["pliable"]),
        Number("too soft outside", "s", found["too soft"]),
        Number("pliable from", "°C", firm["firm"]),
        Number("pliable up to", "°C", firm["soft"]),
        Number("gets pliable", "fraction", Estimate.sure(reached)),
        Number("thickness", "mm", Estimate.sure(block.height_mm)),
    )
    sentence, look = _told(block, found, firm["firm"], (room_c, fridge_c), reached)
    return sentence, numbers, look


def _told(
    block: Block, found: dict[str, Estimate], firm: Estimate, temps_c: tuple[float, float], reached: float
) -> tuple[str, bool]:
    room_c, fridge_c = temps_c
    named = f"A block of {block.mass_g:.0f} g, {block.height_mm:.0f} mm thick, from {fridge_c:g} °C"
    if reached < 0.5:
        return (
            f"{named} does not get pliable in {room_c:g} °C within {said(_LONGEST_S)}: it needs {firm.median:.0f} °C "
            f"({firm.low:.0f} to {firm.high:.0f} °C); put it in a warmer place, or beat it.",
            True,
        )
    middle, outside = found["pliable"], found["too soft"]
    if middle.high < 60:
        return f"{named} is pliable as it is.", False
    sentence = f"{named} is pliable to its middle after {_spread(middle)} in {room_c:g} °C"
    if outside.median >= _LONGEST_S:
        return f"{sentence}, and does not get too soft there.", reached < 0.9
    if outside.median < middle.median:
        soon = said(outside.median)
        return f"{sentence}, but its outside is too soft after {soon}: make it flatter, or take a cooler room.", True
    return f"{sentence}; its outside is too soft after {_spread(outside)}.", reached < 0.9


def _spread(value: Estimate) -> str:
    if value.high < _LONGEST_S:
        return spread(value)
    return f"{said(value.median)} ({said(value.low)} or more)"


def _butter_of(formula: Formula | None, pantry: Pantry) -> Stuff:
    """The butter that a formula has most of; without one, or without butter, unsalted butter."""
    if formula is not None:
        masses = unit_amounts(formula, pantry, pieces=1).ingredients()
        there = [key for key, mass_g in masses.items() if mass_g > 0 and is_butter(pantry.find(key))]
        if there:
            return pantry.find(max(there, key=lambda key: masses[key]))
    return pantry.find(_BUTTER)


def _properties(stuff: Stuff, pantry: Pantry) -> tuple[float, float, float]:
    """Density, conductivity and specific heat of butter, without its melting. Source: Choi & Okos (1986)."""
    whole = stuff if stuff.composition.water_fraction is not None else pantry.find(_BUTTER)
    made = whole.composition
    return (
        density_kg_per_m3(made, _AT_C),
        conductivity_w_per_m_k(made, _AT_C, fat_continuous=True),
        specific_heat_j_per_g_k(made, _AT_C),
    )
