"""The usual cautions for a bowl or a stage, as keys that each language has its own sentence for.

They are reminders for people who know their work. They never say that something is safe, and the rules where the bakery
stands come before them: every set ends with ``local-rules``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from smallhours.bakery.formula.amounts import Amounts
from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.formula.part_amounts import part_amounts
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.bakery.process.bowl import is_butter
from smallhours.bakery.process.habits import place_of

COLD_HOLDING_C = 5.0
"""At or below this, egg and dairy fillings are held (US Food Code 3-501.16: 41 °F; common in Europe too)."""
_FILLINGS = ("filling", "topping", "glaze", "soaker")


@dataclass(frozen=True)
class Caution:
    """``key``: which sentence; ``about``: what it is about (allergens by key, a temperature in °C as text)."""

    key: str
    about: tuple[str, ...] = ()


def cautions_for_bowl(amounts: Amounts, part_id: str, pantry: Pantry, in_mixer: bool) -> tuple[Caution, ...]:
    """What to mind when this part is weighed and mixed.

    Raises: NotFound for an unknown part or ingredient.
    """
    held = _held(amounts, part_id, pantry)
    allergens = tuple(sorted({word for stuff in held for word in stuff.allergens}))
    found = [Caution("allergens", allergens), Caution("cross")] if allergens else [Caution("no-allergens")]
    if any(stuff.counts_as_flour or stuff.kind == "flour" for stuff in held):
        found.append(Caution("raw-flour"))
    if any(stuff.kind == "egg" for stuff in held):
        found.append(Caution("raw-egg"))
    if amounts.formula.part(part_id).kind in _FILLINGS and spoils(held):
        found.append(Caution("keep-cold", (f"{COLD_HOLDING_C:g}",)))
    if in_mixer:
        found.append(Caution("mixer"))
    return (*found, Caution("local-rules"))


def cautions_for_stage(formula: Formula, stage: Stage, pantry: Pantry) -> tuple[Caution, ...]:
    """What to mind at one stage of a (joined) formula: hot oven and trays, the mixer's guard, fillings that spoil.

    A part with egg or dairy that comes on after the oven is not made safe by it: ``not-baked``.
    Raises: NotFound for an unknown ingredient.
    """
    found: list[Caution] = []
    if stage.kind == "bake":
        found.append(Caution("oven", () if stage.set_temp_c is None else (f"{stage.set_temp_c:.0f}",)))
        if stage.steam:
            found.append(Caution("steam"))
    if stage.kind == "cool":
        found.append(Caution("hot-trays"))
    if place_of(stage) == "mixer":
        found.append(Caution("mixer"))
    baked = _baked_before(formula, stage)
    for part_id in stage.uses:
        held = _held(part_amounts(formula, part_id, 1000.0, pantry), part_id, pantry)
        if spoils(held):
            found.append(Caution("not-baked" if baked else "keep-cold", (f"{COLD_HOLDING_C:g}",)))
    return (*dict.fromkeys(found), Caution("local-rules")) if found else ()


def _held(amounts: Amounts, part_id: str, pantry: Pantry) -> list[Stuff]:
    return [pantry.find(key) for key, mass_g in amounts.ingredients(part_id).items() if mass_g > 0]


def spoils(held: Iterable[Stuff]) -> bool:
    """Whether there is egg or dairy in it that spoils at room temperature; butter alone is not counted."""
    return any(stuff.kind in ("egg", "dairy") and not is_butter(stuff) for stuff in held)


def _baked_before(formula: Formula, stage: Stage) -> bool:
    for other in formula.stages_of(stage.part or formula.main):
        if other is stage:
            return False
        if other.kind == "bake":
            return True
    return False
