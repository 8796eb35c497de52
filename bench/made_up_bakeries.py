"""Nights of any size, made up from the demo bakery's documents: more products, more equipment, more people.

Every product is one of the demo's formulas under its own name, with stages up to a tenth shorter or longer, so that no
two doughs are the same; equipment and people grow with the number of products. All of it is invented.
"""

from __future__ import annotations

import datetime as dt
import math
import random
from dataclasses import dataclass
from importlib.resources import files
from typing import TypeVar

from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen, Mixer, Oven, Person
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry

Thing = TypeVar("Thing", Mixer, Oven)
NIGHT = dt.date(2026, 11, 27)
DUES = (dt.time(5, 45), dt.time(6, 30), dt.time(7, 30))
SHARING_ABOVE = 100  # products; larger bakeries make every other product of a dough that others share
SHARERS = 6  # products of one shared dough
SHIFTS = (  # start and end, and how many of ten people have it
    (dt.time(14), dt.time(22), 3),
    (dt.time(21), dt.time(5), 3),
    (dt.time(0), dt.time(8), 4),
)


@dataclass(frozen=True)
class MadeUp:
    """A night's documents."""

    formulas: dict[str, Formula]
    orders: tuple[Order, ...]
    kitchen: Kitchen
    pantry: Pantry


def made_up(products: int, seed: int) -> MadeUp:
    """A night with so many products."""
    folder = files("smallhours") / "demo"
    draw = random.Random(1000 * products + seed)
    named = sorted(f.name for f in (folder / "formulas").iterdir() if f.name.endswith(".toml"))
    known = [Formula.read_toml((folder / "formulas" / name).read_text("utf-8"), name) for name in named]
    whole = [formula for formula in known if formula.base is None and formula.output is not None]
    based = [formula for formula in known if formula.base is not None]
    formulas: dict[str, Formula] = {}
    ordered = []
    for number in range(products):
        shares = products > SHARING_ABOVE and number % 2 == 1
        model = based[(number // 2) % len(based)] if shares else whole[number % len(whole)]
        formula = _another(model, number, draw)
        if shares:
            base = next(f for f in known if f.id == model.base)
            own = base.model_copy(update={"id": f"{base.id}-{number // (2 * SHARERS)}"})
            formulas[own.id] = own
            formula = formula.model_copy(update={"base": own.id})
        formulas[formula.id] = formula
        ordered.append(formula.id)
    orders = tuple(
        Order(customer="Shop", product=name, date=NIGHT, due=draw.choice(DUES), pieces=draw.randint(12, 36))
        for name in ordered
    )
    kitchen = Kitchen.read_toml((folder / "kitchen.toml").read_text("utf-8"), "kitchen")
    ingredients = IngredientList.read_toml((folder / "ingredients.toml").read_text("utf-8"), "ingredients")
    return MadeUp(formulas, orders, _grown(kitchen, products), Pantry(ingredients.ingredients))


def _another(formula: Formula, number: int, draw: random.Random) -> Formula:
    """The same formula under another name, with other stage lengths."""

    def stretched(stage: Stage) -> Stage:
        if stage.kind not in ("ferment", "proof", "rest") or stage.duration_s is None:
            return stage
        factor = draw.uniform(0.9, 1.1)
        lengths = {
            name: round(value * factor / 60.0) * 60.0
            for name in ("duration_s", "min_s", "max_s")
            if (value := getattr(stage, name, None)) is not None
        }
        return stage.model_copy(update=lengths)

    stages = tuple(stretched(stage) for stage in formula.stages)
    return formula.model_copy(
        update={"id": f"{formula.id}-{number}", "name": f"{formula.name} {number}", "stages": stages}
    )


def _grown(kitchen: Kitchen, products: int) -> Kitchen:
    """Equipment and people for so many products; 300 have six mixers and eight ovens."""
    times = products / 12.0
    spiral, planetary = kitchen.mixers
    bowls = min(1.0 + products / 40.0, 5.0)
    spirals, planetaries = min(4, max(1, round(products / 25))), min(2, max(1, round(products / 60)))
    large = [_numbered(spiral, n, max_dough_g=bowls * spiral.max_dough_g) for n in range(spirals)]
    small = [_numbered(planetary, n) for n in range(planetaries)]
    deck, convection = kitchen.ovens
    decks = tuple(
        deck.decks[0].model_copy(update={"id": f"deck-{n}", "tray_places": min(8, 3 + products // 60)})
        for n in range(min(5, 3 + products // 50))
    )
    ovens = [_numbered(deck, n, decks=decks) for n in range(min(6, math.ceil(products / 40)))]
    chamber = tuple(each.model_copy(update={"tray_places": 5 + products // 30}) for each in convection.decks)
    ovens += [_numbered(convection, n, decks=chamber) for n in range(max(1, round(products / 150)))]
    cold = tuple(c.model_copy(update={"tray_places": math.ceil(c.tray_places * times)}) for c in kitchen.cold)
    proofers = tuple(c.model_copy(update={"tray_places": math.ceil(c.tray_places * times)}) for c in kitchen.proofers)
    return kitchen.model_copy(
        update={
            "mixers": (*large, *small),
            "benches": tuple(
                b.model_copy(update={"places": min(20, math.ceil(b.places * times))}) for b in kitchen.benches
            ),
            "cold": cold,
            "proofers": proofers,
            "ovens": tuple(ovens),
            "pans": tuple(p.model_copy(update={"count": math.ceil(p.count * times)}) for p in kitchen.pans),
            "racks": tuple(r.model_copy(update={"count": math.ceil(r.count * times)}) for r in kitchen.racks),
            "people": _people(kitchen.people[0], max(3, math.ceil(products / 4.0))),
        }
    )


def _numbered(thing: Thing, number: int, **changed: object) -> Thing:
    return thing.model_copy(update={"id": f"{thing.id}-{number}", "name": f"{thing.name} {number}", **changed})


def _people(model: Person, count: int) -> tuple[Person, ...]:
    shifts = [shift for shift in SHIFTS for _ in range(shift[2])]
    found = []
    for number in range(count):
        start, end, _ = shifts[(number * 7) % len(shifts)]
        hours = model.hours[0].model_copy(
            update={"days": ("mon", "tue", "wed", "thu", "fri", "sat", "sun"), "start": start, "end": end}
        )
        found.append(Person(id=f"person-{number}", name=f"Person {number}", hours=(hours,), breaks=()))
    return tuple(found)
