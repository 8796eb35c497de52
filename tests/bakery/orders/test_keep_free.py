"""What has to be kept free from what, told from formulas and orders of an invented bakery."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import pytest

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.free_from import claim_faults, held_by_stage
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import batches
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.bakery.orders.keep_free import KeepFree, keep_free
from smallhours.bakery.pantry import Pantry
from smallhours.errors import DocumentError

NIGHT, DUE = dt.date(2026, 11, 27), dt.time(6)
PANTRY = Pantry()
DOUGH = [
    {"ingredient": "bread-flour", "percent": 100.0},
    {"ingredient": "water", "percent": 60.0},
    {"ingredient": "milk-whole", "percent": 5.0},
]
STAGES = [
    {"kind": "mix", "low_s": 300.0},
    {"kind": "rest", "duration_s": 1800.0},
    {"kind": "shape", "duration_s": 300.0},
    {"kind": "finish", "duration_s": 60.0, "uses": ["crumble"]},
    {"kind": "bake", "duration_s": 1800.0, "set_temp_c": 200.0},
]
CRUMBLE = {
    "id": "crumble",
    "name": "Crumble",
    "kind": "topping",
    "mass_per_piece_g": 20.0,
    "percent_on": "sugar",
    "lines": [{"ingredient": "sugar", "percent": 100.0}, {"ingredient": "almonds-blanched", "percent": 50.0}],
}
KITCHEN = Kitchen.read(
    {
        "id": "k", "name": "K", "timezone": "UTC", "temperatures": {"room_c": 22.0},
        "mixers": [{"id": "spiral", "name": "Spiral", "min_dough_g": 100.0, "max_dough_g": 20000.0}],
        "ovens": [{"id": "oven", "name": "Oven", "decks": [{"id": "d", "tray_places": 9}], "heat_k_per_min": 9.0,
                   "cool_k_per_min": 3.0}],
    },
    "kitchen",
)  # fmt: skip


def _formula(name: str, **more: Any) -> Formula:
    data: dict[str, Any] = {
        "id": name, "name": name, "output": {"piece_mass_g": 500.0},
        "parts": [{"id": "dough", "name": "Dough", "lines": DOUGH}], "stages": [s for s in STAGES if "uses" not in s],
    }  # fmt: skip
    return Formula.read({**data, **more}, name)


PLAIN = _formula("plain")
TOPPED = Formula.read(
    {"id": "topped", "name": "topped", "base": "plain", "output": {"piece_mass_g": 500.0}, "parts": [CRUMBLE],
     "stages": STAGES[2:]},
    "topped",
)  # fmt: skip
FORMULAS = {f.id: f for f in (PLAIN, TOPPED)}


def _whole(name: str) -> Formula:
    return joined(FORMULAS[name], FORMULAS.__getitem__)


def _order(product: str, *free_from: str, pieces: int = 4) -> Order:
    return Order(customer="c", product=product, date=NIGHT, due=DUE, pieces=pieces, free_from=free_from)


def _kept(orders: Sequence[Order]) -> tuple[KeepFree, dict[str, Any]]:
    made = batches(orders, FORMULAS, KITCHEN, PANTRY).batches
    kept = keep_free(made, {name: _whole(name) for name in FORMULAS}, orders, PANTRY)
    things = {b.id: (b, None) for b in made} | {lot.id: (b, lot) for b in made for lot in b.lots}
    return kept, things


def test_a_topping_comes_in_with_the_stage_that_uses_it() -> None:
    """Hand: the dough has wheat and milk; the crumble (almonds) comes on at ``finish``, so nuts from there on."""
    held = held_by_stage(_whole("topped"), "dough", PANTRY)
    assert held["shape"] == {"gluten", "wheat", "milk"}
    assert held["finish"] == held["bake"] == {"gluten", "wheat", "milk", "nuts", "almond"}


def test_a_topping_no_stage_uses_counts_from_the_first() -> None:
    """Behaviour: where nobody says when a topping comes on, it may be there all the time."""
    loose = _formula("loose", parts=[{"id": "dough", "name": "Dough", "lines": DOUGH}, CRUMBLE])
    assert "nuts" in held_by_stage(loose, "dough", PANTRY)["mix"]


def test_a_claim_that_the_formula_breaks_is_said() -> None:
    """Bad input: free from what is in a part, named with part and ingredient; and a word no ingredient goes by."""
    assert list(claim_faults(_whole("plain"), PANTRY, ["nuts", "sesame", "fish"])) == []
    assert [f.what for f in claim_faults(_whole("topped"), PANTRY, ["nuts"])] == [
        "cannot be free from 'nuts': its part 'crumble' has 'almonds-blanched' in it"
    ]
    (unknown,) = claim_faults(_whole("plain"), PANTRY, ["tree-nuts"])
    assert "'tree-nuts' is no allergen that any ingredient goes by; did you mean" in unknown.what
    assert "'nuts'" in unknown.what


def test_an_order_cannot_be_free_from_what_its_product_holds() -> None:
    """Bad input: the order is named by number and customer."""
    with pytest.raises(DocumentError) as caught:
        batches([_order("plain"), _order("topped", "nuts")], FORMULAS, KITCHEN, PANTRY)
    assert [str(f) for f in caught.value.faults] == [
        "order 2 (c, topped): cannot be free from 'nuts': its part 'crumble' has 'almonds-blanched' in it"
    ]


def test_nothing_is_kept_when_nobody_asks() -> None:
    """Limit: without a wish nothing is claimed, held or to be kept free."""
    kept, things = _kept([_order("plain"), _order("topped")])
    assert kept == KeepFree()
    assert all(kept.free_from(*thing) == frozenset() for thing in things.values())


def test_the_dough_and_the_lot_of_the_order_are_kept_free() -> None:
    """Hand: one dough for both products. The order of plain loaves is to be free from nuts: so are its lot and the
    shared dough, not the topped lot, which holds nuts from ``finish`` on, nor the crumble, which is for it."""
    kept, things = _kept([_order("plain", "nuts"), _order("topped")])
    assert kept.claimed == {"nuts"}
    assert {name: set(kept.free_from(*thing)) for name, thing in things.items()} == {
        "plain.dough.1": {"nuts"},
        "plain.lot.1": {"nuts"},
        "topped.lot.1": set(),
        "topped.crumble.1": set(),
    }
    topped = things["topped.lot.1"]
    held = {stage.key: set(kept.holds(topped[0], topped[1], stage)) for stage in _whole("topped").stages_of("dough")}
    assert held == {"mix": set(), "rest": set(), "shape": set(), "finish": {"nuts"}, "bake": {"nuts"}}


def test_what_goes_onto_a_free_lot_is_kept_free_too() -> None:
    """Hand: the topped order is to be free from sesame: so is its crumble, made apart."""
    kept, things = _kept([_order("plain"), _order("topped", "sesame")])
    assert kept.free_from(*things["topped.crumble.1"]) == {"sesame"}
    assert kept.free_from(*things["plain.lot.1"]) == frozenset()


def test_a_changed_order_forgets_no_wish() -> None:
    """Behaviour: a single order in place of a standing one keeps what that had to be free from."""
    standing = StandingOrder(customer="c", product="plain", due=DUE, pieces=4, free_from=("sesame",))
    book = OrderBook(standing=(standing,), single=(_order("plain", "nuts", pieces=9),))
    (order,) = book.on(NIGHT)
    assert (order.pieces, order.free_from) == (9, ("nuts", "sesame"))
