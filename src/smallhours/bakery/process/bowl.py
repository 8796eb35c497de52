"""What goes into the bowl, how warm it is, how much heat it takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from smallhours.bakery.formula.amounts import Amounts, LineAmount
from smallhours.bakery.formula.document import Formula, Place
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry, Stuff
from smallhours.bakery.process.habits import place_of
from smallhours.errors import BadInput
from smallhours.reference.defaults import butter_melting
from smallhours.science.dough_temperature import Melting, Portion
from smallhours.science.thermal_properties import specific_heat_j_per_g_k

_FROM_THE_FRIDGE = ("dairy", "egg")
_USUAL_FRIDGE_C, _USUAL_FREEZER_C = 4.0, -18.0
# where a composition does not say enough: water as water, the rest as dry matter of flour and sugar (judgement)
_WATER_J, _DRY_J = 4.18, 1.6


@dataclass(frozen=True)
class Measured:
    """What was measured today, in place of what the kitchen's document says; all of it may stay unset.

    ``ingredients_c``: temperatures by ingredient key or part id. ``low_s``/``high_s``: minutes that will be mixed.
    """

    room_c: float | None = None
    flour_c: float | None = None
    tap_water_c: float | None = None
    coldest_liquid_c: float | None = None
    target_c: float | None = None
    low_s: float | None = None
    high_s: float | None = None
    ingredients_c: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class BowlItem:
    """One line of the bowl. ``kind``: of its ingredient, or ``part``; ``tempered``: its temperature steers the dough.

    ``water``: it is plain water, so ice can take its place; ``flour``: it counts as flour; ``reckoned``: its heat
    capacity was guessed from what little its composition says.
    """

    key: str
    name: str
    kind: str
    mass_g: float
    temp_c: float
    specific_heat_j_per_g_k: float
    tempered: bool = False
    water: bool = False
    flour: bool = False
    reckoned: bool = False
    melting: Melting | None = None

    def portion(self, temp_c: float | None = None) -> Portion:
        """The item as the heat balance takes it, at its own temperature or another."""
        return Portion(
            self.mass_g, self.specific_heat_j_per_g_k, self.temp_c if temp_c is None else temp_c, self.melting
        )


def bowl_items(
    amounts: Amounts, part_id: str, pantry: Pantry, kitchen: Kitchen, measured: Measured, target_c: float
) -> tuple[BowlItem, ...]:
    """Every line of a part with its temperature and heat capacity.

    Tempered are the lines marked so; without any, the largest pourable liquid. Everything else comes at, first that is
    known: what was measured; the line's own temperature; flour at the flour's; water from the tap; milk, eggs, butter
    and fresh yeast out of the fridge; another part from where it keeps or rises; the rest at the room's.
    Raises: BadInput if nothing can be poured at a chosen temperature.
    """
    lines = [line for line in amounts.parts[part_id].lines if line.mass_g > 0]
    steering = steering_lines(lines, pantry)
    if not steering:
        where = f"part {part_id!r} of formula {amounts.formula.id!r}"
        raise BadInput(f"{where} has no liquid to pour: nothing can steer its temperature")
    return tuple(_item(line, line in steering, amounts, pantry, kitchen, measured, target_c) for line in lines)


def can_be_steered(formula: Formula, part_id: str, pantry: Pantry) -> bool:
    """Whether a part has a target temperature and a liquid with which to reach it."""
    part = formula.part(part_id)
    poured = any(line.ingredient is not None and _pours(pantry.find(line.ingredient)) for line in part.lines)
    return part.target_temp_c is not None and (poured or any(line.tempered for line in part.lines))


def room_c(kitchen: Kitchen, measured: Measured) -> float:
    """Today's room."""
    return kitchen.temperatures.room_c if measured.room_c is None else measured.room_c


def flour_c(kitchen: Kitchen, measured: Measured) -> float:
    """Today's flour; as warm as the room if nobody said."""
    known = kitchen.temperatures.flour_c if measured.flour_c is None else measured.flour_c
    return room_c(kitchen, measured) if known is None else known


def steering_lines(lines: Sequence[LineAmount], pantry: Pantry) -> list[LineAmount]:
    """The lines whose temperature steers the dough: those marked ``tempered``, else the largest pourable liquid."""
    own = [line for line in lines if line.line.part is None]
    marked = [line for line in own if line.line.tempered]
    poured = [line for line in own if _pours(pantry.find(line.key))]
    return marked or sorted(poured, key=lambda line: -line.mass_g)[:1]


def _pours(stuff: Stuff) -> bool:
    return stuff.liquid and stuff.kind != "fat"


def _item(
    amount: LineAmount,
    tempered: bool,
    amounts: Amounts,
    pantry: Pantry,
    kitchen: Kitchen,
    measured: Measured,
    target_c: float,
) -> BowlItem:
    if amount.line.part is not None:
        temp_c = _part_c(amount, amounts.formula, kitchen, measured)
        heat = _part_heat(amount.key, amounts, pantry, temp_c)
        return BowlItem(amount.key, amounts.formula.part(amount.key).name, "part", amount.mass_g, temp_c, heat)
    stuff = pantry.find(amount.key)
    temp_c = _temp_c(amount, stuff, kitchen, measured)
    known = heat_capacity_j_per_g_k(stuff, (temp_c + target_c) / 2)
    return BowlItem(
        amount.key,
        stuff.name,
        stuff.kind,
        amount.mass_g,
        temp_c,
        known if known is not None else _guess(stuff),
        tempered,
        water=is_water(stuff),
        flour=stuff.counts_as_flour,
        reckoned=known is None,
        melting=None if tempered else _melting(stuff),
    )


def heat_capacity_j_per_g_k(stuff: Stuff, temp_c: float) -> float | None:
    """How much heat an ingredient takes, by its composition; None if that does not say enough. Source: Choi & Okos."""
    try:
        return specific_heat_j_per_g_k(stuff.composition, max(temp_c, 0.0))
    except BadInput:
        return None


def is_water(stuff: Stuff) -> bool:
    """Whether ice can take its place: plain water."""
    return stuff.kind == "liquid" and (stuff.composition.water_fraction or 0.0) > 0.99


def is_butter(stuff: Stuff) -> bool:
    """Whether it is butter (or butter oil): fat that comes from milk and melts over the range of doughs."""
    return stuff.kind == "fat" and "milk" in stuff.allergens and not stuff.liquid


def _guess(stuff: Stuff) -> float:
    water = stuff.composition.water_fraction
    wet = (0.9 if stuff.liquid else 0.1) if water is None else water
    return _WATER_J * wet + _DRY_J * (1.0 - wet)


def _melting(stuff: Stuff) -> Melting | None:
    return butter_melting(stuff.composition.fat_fraction or 0.81) if is_butter(stuff) else None


def _part_heat(part_id: str, amounts: Amounts, pantry: Pantry, temp_c: float) -> float:
    masses = amounts.ingredients(part_id)
    total = sum(masses.values())
    return sum(mass * _heat_or_guess(pantry.find(key), temp_c) for key, mass in masses.items()) / total


def _heat_or_guess(stuff: Stuff, temp_c: float) -> float:
    known = heat_capacity_j_per_g_k(stuff, temp_c)
    return _guess(stuff) if known is None else known


def _temp_c(amount: LineAmount, stuff: Stuff, kitchen: Kitchen, measured: Measured) -> float:
    if amount.key in measured.ingredients_c:
        return measured.ingredients_c[amount.key]
    if amount.line.temp_c is not None:
        return amount.line.temp_c
    if stuff.counts_as_flour:
        return flour_c(kitchen, measured)
    if is_water(stuff):
        return kitchen.temperatures.tap_water_c if measured.tap_water_c is None else measured.tap_water_c
    if stuff.kind in _FROM_THE_FRIDGE or is_butter(stuff) or stuff.like == "yeast-fresh":
        return _place_c("fridge", kitchen, measured)
    return room_c(kitchen, measured)


def _part_c(amount: LineAmount, formula: Formula, kitchen: Kitchen, measured: Measured) -> float:
    """How warm another part comes in: as measured, as the line says, or as where it was last."""
    if amount.key in measured.ingredients_c:
        return measured.ingredients_c[amount.key]
    if amount.line.temp_c is not None:
        return amount.line.temp_c
    part = formula.part(amount.key)
    stood = [place_of(stage) for stage in formula.stages_of(part.id)]
    return _place_c(part.keeps_in or (stood[-1] if stood else "room"), kitchen, measured)


def _place_c(place: Place, kitchen: Kitchen, measured: Measured) -> float:
    return next(_temps_of(place, kitchen, measured))


def _temps_of(place: Place, kitchen: Kitchen, measured: Measured) -> Iterator[float]:
    """Temperatures of such places, the largest first; then what is usual."""
    if place == "fridge":
        yield from (c.temp_c for c in sorted(kitchen.cold, key=lambda c: -c.tray_places) if c.kind != "freezer")
        yield _USUAL_FRIDGE_C
    if place == "freezer":
        yield from (c.temp_c for c in kitchen.cold if c.kind == "freezer")
        yield _USUAL_FREEZER_C
    if place == "proofer":
        yield from (p.temp_c for p in kitchen.proofers)
    yield room_c(kitchen, measured)
