"""Nights nobody thought of: small kitchens with odd equipment, formulas and orders, each from one number.

``python tests/planning/random_nights.py 1000`` plans a thousand of them and prints what an outsider finds wrong.
"""

from __future__ import annotations

import argparse
import datetime as dt
import random
import time
import traceback
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from unittest.mock import patch

from planning.sound import wrong_with
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen, Oven
from smallhours.bakery.orders.document import Order, OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.errors import SmallhoursError
from smallhours.planning.plan import Plan
from smallhours.planning.shift import solvers
from smallhours.planning.shift.plan_night import plan_night

Json = dict[str, Any]
MIN = 60.0
ZONES = ("Europe/Madrid", "Europe/Madrid", "UTC", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe")
NIGHTS = (
    dt.date(2026, 11, 27),
    dt.date(2026, 10, 25),  # in Madrid the clocks go back
    dt.date(2026, 3, 29),  # and here forward
    dt.date(2026, 11, 1),  # in New York back
    dt.date(2028, 2, 29),
)
PANS = ("tray", "tin", "basket")
ALLERGENS = ("nuts", "sesame", "milk")


@dataclass(frozen=True)
class RandomNight:
    """A kitchen, its formulas and the orders of one day."""

    seed: int
    night: dt.date
    kitchen: Kitchen
    formulas: dict[str, Formula]
    orders: OrderBook

    def plan(self, limit_s: float = 0.1) -> Plan:
        """Its plan, the same every time. Raises SmallhoursError where the night cannot be planned at all."""
        with patch.object(solvers, "PATIENCE_S", limit_s):  # nobody waits here for the last of a thousand nights
            return plan_night(
                self.formulas,
                self.orders.on(self.night),
                self.kitchen,
                Pantry(),
                self.night,
                made_at=dt.datetime(2026, 1, 1, tzinfo=dt.UTC),
                time_limit_s=limit_s,
                polish_s=limit_s / 2,
                workers=1,
                deterministic=True,
            )

    def wrong(self, plan: Plan) -> list[str]:
        """What an outsider finds wrong with a plan of it, held against every document."""
        return wrong_with(plan, self.kitchen, self.formulas, self.orders)


def random_night(seed: int, products: int = 6, orders: int = 7) -> RandomNight:
    """The night of that number, with so many products and orders at most."""
    dice = random.Random(seed)
    kitchen = _kitchen(dice)
    formulas = _formulas(dice, kitchen, dice.randint(1, products))
    night = dice.choice(NIGHTS)
    return RandomNight(seed, night, kitchen, formulas, _orders(dice, formulas, night, dice.randint(1, orders)))


def _kitchen(dice: random.Random) -> Kitchen:
    data: Json = {
        "id": "odd",
        "name": "Odd kitchen",
        "timezone": dice.choice(ZONES),
        "temperatures": {"room_c": dice.choice([15.0, 20.0, 24.0, 29.0])},
        "slab_mass_g": dice.choice([2000.0, 5000.0, 9000.0]),
        "mixers": [_mixer(dice, n) for n in range(dice.choice([1, 1, 2, 3]))],
        "benches": [
            {"id": f"bench-{n}", "name": f"Bench {n}", "places": dice.choice([1, 1, 2]), "clean_s": 300.0 + 600.0 * n}
            for n in range(dice.choice([0, 1, 1, 2]))
        ],
        "racks": [
            {"id": "trolley", "name": "Trolley", "count": dice.choice([1, 2]), "tray_places": dice.choice([6, 20])}
            for _ in range(dice.random() < 0.8)
        ],
        "cold": [
            {"id": f"cold-{n}", "name": f"Cold {n}", "kind": dice.choice(["fridge", "retarder", "freezer"]),
             "temp_c": dice.choice([2.0, 5.0]), "tray_places": dice.choice([2, 6, 20])}
            for n in range(dice.choice([0, 1, 2]))
        ],
        "proofers": [{"id": "warm", "name": "Warm", "temp_c": 28.0, "tray_places": dice.choice([3, 8])}]
        if dice.random() < 0.5
        else [],
        "ovens": [_oven(dice, n) for n in range(dice.choice([1, 1, 2]))],
        "pans": [
            {"id": pan, "name": pan.capitalize(), "kind": pan, "count": dice.choice([2, 5, 12]),
             "tray_share": dice.choice([1.0, 0.5, 0.25, 0.3]), "cool_s": dice.choice([0.0, 420.0, 900.0])}
            for pan in PANS
        ],
        "people": [_person(dice, n) for n in range(dice.choice([1, 1, 2, 3]))],
    }  # fmt: skip
    return Kitchen.read(data, "kitchen")


def _mixer(dice: random.Random, number: int) -> Json:
    least, most = dice.choice([(200.0, 1600.0), (500.0, 4000.0), (1000.0, 20000.0), (3000.0, 24000.0)])
    mixer = {"id": f"mixer-{number}", "name": f"Mixer {number}", "min_dough_g": least, "max_dough_g": most,
             "clean_s": dice.choice([300.0, 1200.0])}  # fmt: skip
    if dice.random() < 0.3:
        mixer["max_stiff_g"] = most * 0.6
    return mixer


def _oven(dice: random.Random, number: int) -> Json:
    return {
        "id": f"oven-{number}",
        "name": f"Oven {number}",
        "kind": dice.choice(["deck", "deck", "convection"]),
        "decks": [{"id": f"deck-{n}", "tray_places": dice.choice([1, 2, 4])} for n in range(dice.choice([1, 2, 3]))],
        "max_temp_c": dice.choice([250.0, 280.0]),
        "heat_k_per_min": dice.choice([3.7, 6.0, 12.0]),
        "cool_k_per_min": dice.choice([1.3, 5.0]),
        "start_temp_c": dice.choice([20.0, 90.0]),
        "steam": dice.random() < 0.6,
    }


def _person(dice: random.Random, number: int) -> Json:
    start = dice.choice([0, 13, 18, 21, 22, 23])
    end = (start + dice.choice([6, 8, 10, 14])) % 24
    if number == 0 and dice.random() < 0.7:
        start, end = dice.choice([16, 20]), dice.choice([10, 12])
    hours = [{"start": f"{start:02d}:{dice.choice(['00', '30', '07'])}:00", "end": f"{end:02d}:00:00"}]
    if dice.random() < 0.3:
        hours.append({"start": "05:00:00", "end": "11:00:00"})
    person: Json = {"id": f"person-{number}", "name": f"Person {number}", "hours": hours}
    if dice.random() < 0.6:
        early = (start + dice.choice([1, 2, 3])) % 24
        late = (early + dice.choice([2, 4])) % 24
        person["breaks"] = [{"earliest": f"{early:02d}:00:00", "latest": f"{late:02d}:00:00",
                             "duration_s": dice.choice([600.0, 1500.0, 1530.0])}]  # fmt: skip
    return person


def _formulas(dice: random.Random, kitchen: Kitchen, products: int) -> dict[str, Formula]:
    made: dict[str, Formula] = {}
    for number in range(products):
        name = f"bread-{number}"
        bases = [f for f in made.values() if f.base is None and not f.free_from]
        if bases and dice.random() < 0.25:
            made[name] = _shares_a_dough(dice, name, dice.choice(bases))
        else:
            made[name] = _formula(dice, name, kitchen)
    return made


def _shares_a_dough(dice: random.Random, name: str, base: Formula) -> Formula:
    kinds = [stage.kind for stage in base.stages if stage.kind in ("divide", "shape")]
    own = [{"kind": kinds[0], "duration_s": 2 * MIN}, *_from_proof(dice, [])]
    data: Json = {"id": name, "name": name.capitalize(), "base": base.id, "stages": own, **_piece(dice)}
    return Formula.read(data, name)


def _piece(dice: random.Random) -> Json:
    mass_g = dice.choice([60.0, 250.0, 480.0, 1000.0])
    output: Json = {"piece_mass_g": mass_g} if dice.random() < 0.7 else {"baked_mass_g": mass_g * 0.9}
    found: Json = {"output": output}
    if dice.random() < 0.6:
        found |= {"pan": dice.choice(PANS), "pieces_per_pan": dice.choice([1, 4, 12])}
    return found


def _formula(dice: random.Random, name: str, kitchen: Kitchen) -> Formula:
    lines: list[Json] = [
        {"ingredient": "bread-flour", "percent": 100.0},
        {"ingredient": "water", "percent": dice.choice([50.0, 65.0, 80.0])},
        {"ingredient": "salt", "percent": 2.0},
        {"ingredient": "yeast-instant", "percent": dice.choice([0.3, 1.0])},
    ]
    stages = _stages(dice, kitchen)
    parts: list[Json] = [{"id": "dough", "name": "Dough", "lines": lines}]
    if dice.random() < 0.35:
        lines.append({"part": "sponge", "percent": 30.0})
        parts.append(_sponge(dice))
        stages = [{"kind": "mix", "part": "sponge", "duration_s": 5 * MIN},
                  {"kind": "ferment", "part": "sponge", "duration_s": dice.choice([90, 480]) * MIN,
                   "min_s": 60 * MIN, "max_s": 900 * MIN}, *stages]  # fmt: skip
    if dice.random() < 0.3:
        lines.append({"ingredient": "butter-unsalted", "percent": 10.0})
    for kind, where in (("filling", ("shape",)), ("wash", ("glaze",)), ("topping", ())):
        if dice.random() < 0.25:
            stages = [*_extra(dice, kind, parts), *stages]
            for stage in stages:
                if stage.get("id", stage["kind"]) in where:
                    stage["uses"] = [kind]
    data: Json = {"id": name, "name": name.capitalize(), "parts": parts, "stages": stages, **_piece(dice)}
    if dice.random() < 0.3:
        held = _held({name: Formula.read(data, name)}, name)
        data["free_from"] = [a for a in ALLERGENS if a not in held and dice.random() < 0.7]
    return Formula.read(data, name)


def _held(formulas: dict[str, Formula], product: str) -> set[str]:
    """The allergens in a product's ingredients, its base's too."""
    pantry, own = Pantry(), formulas[product]
    parts = (*own.parts, *(formulas[own.base].parts if own.base else ()))
    return {a for p in parts for line in p.lines if line.ingredient for a in pantry.find(line.ingredient).allergens}


def _sponge(dice: random.Random) -> Json:
    lines = [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 100.0},
             {"ingredient": "yeast-instant", "percent": 0.2}]  # fmt: skip
    sponge: Json = {"id": "sponge", "name": "Sponge", "kind": "preferment", "lines": lines}
    if dice.random() < 0.6:
        sponge["keeps_s"] = dice.choice([0.0, 60 * MIN, 240 * MIN])
    return sponge


def _extra(dice: random.Random, kind: str, parts: list[Json]) -> list[Json]:
    """A filling, wash or topping as a part of its own, and what is done to make it."""
    inside = {"filling": "almonds", "wash": "milk-whole", "topping": "sesame-seed-hulled"}[kind]
    part: Json = {"id": kind, "name": kind.capitalize(), "kind": kind, "percent_on": "mass",
                  "mass_per_piece_g": 20.0, "lines": [{"ingredient": inside, "percent": 100.0}]}  # fmt: skip
    if dice.random() < 0.5:
        part["keeps_s"] = dice.choice([30 * MIN, 12 * 60 * MIN])
    parts.append(part)
    if dice.random() < 0.2:
        return []
    return [{"kind": "mix", "part": kind, "place": dice.choice(["bench", "mixer"]), "duration_s": 6 * MIN}]


def _stages(dice: random.Random, kitchen: Kitchen) -> list[Json]:
    """From weighing to packing, with more or less of it."""
    found: list[Json] = []
    if dice.random() < 0.4:
        found.append({"kind": "weigh", "duration_s": 4 * MIN})
    if dice.random() < 0.7:
        found.append({"kind": "mix", "low_s": 4 * MIN, "high_s": dice.choice([2.5, 6]) * MIN})
    else:
        found.append({"kind": "mix", "duration_s": 9 * MIN, "attention": "throughout"})
    ovens = kitchen.ovens
    found.append({"kind": "ferment", "duration_s": 60 * MIN, "min_s": 45 * MIN, "max_s": 150 * MIN,
                  "at_temp_c": 24.0})  # fmt: skip
    if dice.random() < 0.25 and any(cold.kind != "freezer" for cold in kitchen.cold):
        found.append({"kind": "chill", "duration_s": 90 * MIN, "min_s": 60 * MIN, "max_s": 900 * MIN, "at_temp_c": 4.0})
    if dice.random() < 0.5:
        found.append({"kind": "divide", "duration_s": 1 * MIN, "per_piece_s": dice.choice([3.0, 20.0])})
        found.append({"kind": "rest", "duration_s": 15 * MIN, "min_s": 10 * MIN, "max_s": 40 * MIN})
    found.append({"kind": "shape", "duration_s": 2 * MIN, "per_piece_s": dice.choice([4.0, 30.0])})
    if dice.random() < 0.3:
        found.append({"kind": "pan", "duration_s": 1 * MIN, "per_piece_s": 2.0})
    return found + _from_proof(dice, ovens)


def _from_proof(dice: random.Random, ovens: Sequence[Oven]) -> list[Json]:
    """From proof to packing."""
    found = [_proof(dice)]
    if dice.random() < 0.4:
        found.append({"kind": "finish", "id": "glaze", "duration_s": 1 * MIN, "per_piece_s": 2.0})
    found += [_bake(dice, ovens), {"kind": "cool", "duration_s": 30 * MIN, "min_s": 20 * MIN, "max_s": 200 * MIN}]
    if dice.random() < 0.3:
        found.append({"kind": "pack", "duration_s": 2 * MIN, "per_piece_s": 1.0})
    return found


def _proof(dice: random.Random) -> Json:
    proof: Json = {"kind": "proof", "duration_s": 70 * MIN, "min_s": 55 * MIN, "max_s": 130 * MIN, "at_temp_c": 25.0}
    ways = [
        {"place": "fridge", "duration_s": 600 * MIN, "min_s": 420 * MIN, "max_s": 900 * MIN, "at_temp_c": 4.0,
         "temper_s": dice.choice([0.0, 45 * MIN])},
        {"place": "proofer", "duration_s": 50 * MIN, "min_s": 40 * MIN, "max_s": 80 * MIN, "at_temp_c": 28.0},
    ]  # fmt: skip
    proof["instead"] = [way for way in ways if dice.random() < 0.5]
    return proof


def _bake(dice: random.Random, ovens: Sequence[Oven]) -> Json:
    bake: Json = {"kind": "bake", "duration_s": dice.choice([14, 28, 45]) * MIN,
                  "set_temp_c": dice.choice([170.0, 182.0, 200.0, 235.0, 245.0]),
                  "set_temp_give_k": dice.choice([0.0, 5.0, 12.0])}  # fmt: skip
    if dice.random() < 0.5:
        bake |= {"min_s": bake["duration_s"] - 3 * MIN, "max_s": bake["duration_s"] + 5 * MIN}
    if any(oven.steam for oven in ovens) and dice.random() < 0.3:
        bake["steam"] = True
    elif any(oven.kind == "convection" for oven in ovens) and dice.random() < 0.3:
        bake["oven"] = "convection"
    if dice.random() < 0.3:
        bake |= {"hands_start_s": dice.choice([10.0, 200.0]), "hands_end_s": dice.choice([0.0, 90.0])}
    return bake


def _orders(dice: random.Random, formulas: dict[str, Formula], night: dt.date, count: int) -> OrderBook:
    waves = dice.sample([dt.time(4, 45), dt.time(6), dt.time(7, 30), dt.time(11), dt.time(17)], dice.randint(1, 3))
    orders = []
    for _ in range(count):
        product = dice.choice(sorted(formulas))
        output = formulas[product].output
        mass_g = 0.0 if output is None else output.piece_mass_g or output.baked_mass_g or 0.0
        pieces = dice.choice([1, 3, 8, 20 if mass_g < 500 else 5])
        order: Json = {"customer": dice.choice(["Shop", "Van", "Inn"]), "product": product, "date": night,
                       "due": dice.choice(waves), "pieces": pieces}  # fmt: skip
        own = [allergen for allergen in ALLERGENS if allergen not in _held(formulas, product)]
        if own and dice.random() < 0.15:
            order["free_from"] = [dice.choice(own)]
        orders.append(Order(**order))
    return OrderBook(single=tuple(orders))


@dataclass(frozen=True)
class Outcome:
    """What became of a night: ``planned``, ``refused`` (with why), ``no plan``, or ``wrong``/``broken`` with what."""

    seed: int
    what: str
    said: tuple[str, ...]
    tasks: int = 0
    seconds: float = 0.0


def outcome(seed: int, limit_s: float = 0.1, products: int = 6, orders: int = 7) -> Outcome:
    """Plan one night and verify it."""
    began = time.monotonic()
    try:
        night = random_night(seed, products, orders)
        plan = night.plan(limit_s)
        wrong = night.wrong(plan)
    except SmallhoursError as error:
        return Outcome(seed, "refused", (str(error).splitlines()[0],))
    except Exception:  # whatever else is raised is a fault of the planner or of the check
        return Outcome(seed, "broken", tuple(traceback.format_exc().splitlines()[-4:]))
    took = time.monotonic() - began
    if wrong:
        return Outcome(seed, "wrong", tuple(wrong), len(plan.tasks), took)
    return Outcome(seed, "planned" if plan.tasks else "no plan", plan.notes, len(plan.tasks), took)


def main() -> None:
    """Plan as many as asked for; print what is wrong and how many there were of each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--limit", type=float, default=0.1)
    parser.add_argument("--products", type=int, default=6)
    parser.add_argument("--orders", type=int, default=7)
    asked = parser.parse_args()
    counts: Counter[str] = Counter()
    for seed in range(asked.first, asked.first + asked.count):
        found = outcome(seed, asked.limit, asked.products, asked.orders)
        counts[found.what] += 1
        if found.what in ("wrong", "broken", "no plan"):
            print(found.seed, found.what, f"{found.seconds:.1f} s", *found.said[:6], sep="\n  ", flush=True)
        if seed % 50 == 49:
            print(seed + 1 - asked.first, dict(counts), flush=True)
    print(dict(counts))


if __name__ == "__main__":
    main()
