"""Variations of a night: what they change in its documents, and what they refuse."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planning.shift.small_bakery import CHAIN, formula, kitchen, order, oven, person, stages
from planning.whatif.otherwise import given
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Hours
from smallhours.bakery.orders.products import finder
from smallhours.bakery.shift.variation import Variation, both
from smallhours.errors import BadInput, DocumentError
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.say import said
from smallhours.planning.whatif.varied import varied

COLD: list[dict[str, Any]] = [{"id": "fridge", "name": "Fridge", "temp_c": 4.0, "tray_places": 12}]
FRIDGE = {"place": "fridge", "duration_s": 9 * 3600.0, "min_s": 6 * 3600.0, "max_s": 12 * 3600.0}
NIGHT = given(
    [formula(chain=stages(("proof", {"instead": [FRIDGE]})), pan="tin"), formula("roll")],
    [order("06:00"), order("07:00", 9), order("07:00", 3, "roll")],
    kitchen(cold=COLD, people=[person("ana", "22:00:00", "06:00:00")]),
)


def otherwise(night: Given = NIGHT, **fields: Any) -> Given:
    """The night with a variation."""
    return varied(night, Variation.read(fields, "variation"))


def test_nothing_said_changes_nothing() -> None:
    """Limit: the empty variation is the night as it is."""
    assert otherwise() == NIGHT


@pytest.mark.parametrize(
    ("equipment", "by", "there"),
    [
        ("tin", 3, {"pans": 7}),
        ("tin", -9, {"pans": 0}),
        ("fridge", 2, {"cold": 14}),
        ("bench", 1, {"benches": 3}),
        ("rack", 1, {"racks": 2}),
    ],
)
def test_what_is_counted_is_counted(equipment: str, by: int, there: dict[str, int]) -> None:
    """Hand: 4 tins and 3 make 7, 12 places and 2 make 14; of pans there can be none, never fewer."""
    fields = {"pans": "count", "cold": "tray_places", "benches": "places", "racks": "count"}
    found = otherwise(things=[{"equipment": equipment, "by": by}]).kitchen
    for group, number in there.items():
        assert [getattr(thing, fields[group]) for thing in getattr(found, group)] == [number]


def test_machines_are_copied_and_taken_away() -> None:
    """Behaviour: another mixer, oven or deck is like the one named, with an id of its own."""
    more = otherwise(things=[{"equipment": name, "by": 2} for name in ("spiral", "oven", "oven.deck")]).kitchen
    assert [mixer.id for mixer in more.mixers] == ["spiral", "spiral-2", "spiral-3"]
    assert [one.id for one in more.ovens] == ["oven", "oven-2", "oven-3"]
    assert [deck.id for deck in more.ovens[0].decks] == ["deck", "deck-2", "deck-3"]
    assert {deck.tray_places for one in more.ovens for deck in one.decks} == {8}
    gone = otherwise(without=["fridge", "spiral"], things=[{"equipment": "rack", "by": -1}]).kitchen
    assert (gone.cold, gone.mixers, gone.racks) == ((), (), ())
    two = kitchen(ovens=[oven(decks=[{"id": "top", "tray_places": 3}, {"id": "low", "tray_places": 3}])])
    left = otherwise(given([formula()], [order("06:00")], two), without=["oven.top"]).kitchen
    assert [deck.id for deck in left.ovens[0].decks] == ["low"]


def test_hours_move_over_midnight() -> None:
    """Hand: 22:00 an hour later is 23:00, three hours later 01:00 of the next day; the end stays at 06:00."""
    friday = NIGHT.kitchen.people[0].model_copy(
        update={"hours": (Hours(days=("fri",), start=dt.time(22), end=dt.time(6)),)}
    )
    night = varied(NIGHT, Variation())
    night = Given(**{**vars(night), "kitchen": night.kitchen.model_copy(update={"people": (friday,)})})
    moved = otherwise(night, hours=[{"person": "ana", "begins_later_s": 3 * 3600.0}]).kitchen.people[0].hours
    assert moved == (Hours(days=("sat",), start=dt.time(1), end=dt.time(6)),)
    earlier = otherwise(night, hours=[{"person": "ana", "begins_earlier_s": 900.0, "ends_later_s": 1800.0}])
    assert earlier.kitchen.people[0].hours == (Hours(days=("fri",), start=dt.time(21, 45), end=dt.time(6, 30)),)


def test_people_come_and_stay_away() -> None:
    """Behaviour: a helper is one more person with those hours; who is ill is not there."""
    found = otherwise(ill=["ana"], helpers=[{"start": "02:00:00", "end": "05:00:00"}]).kitchen.people
    assert [(one.id, one.hours[0].start, one.hours[0].end) for one in found] == [("helper-1", dt.time(2), dt.time(5))]


def test_orders_keep_their_places() -> None:
    """Hand: 12 more loaves go to the larger order (9 + 12 = 21); 10 fewer take all of 9 and 1 of 4; half as much again
    of 3 is 4.5, rounded up to 5; a product of which nothing is ordered then is a new order."""
    assert [o.pieces for o in otherwise(orders=[{"product": "loaf", "more": 12}]).orders] == [4, 21, 3]
    assert [o.pieces for o in otherwise(orders=[{"product": "loaf", "fewer": 10}]).orders] == [3, 0, 3]
    assert [o.pieces for o in otherwise(orders=[{"times": 1.5}]).orders] == [6, 14, 5]
    later = otherwise(orders=[{"product": "loaf", "due": "06:00:00", "new_due": "06:30:00"}]).orders
    assert [o.due for o in later] == [dt.time(6, 30), dt.time(7), dt.time(7)]
    new = otherwise(orders=[{"product": "roll", "due": "08:00:00", "more": 5}]).orders
    assert [(o.product, o.due, o.pieces) for o in new[3:]] == [("roll", dt.time(8), 5)]


def test_one_way_only() -> None:
    """Behaviour: a proof that is done in the fridge only has the fridge's lengths and no other way; a bake at another
    temperature has the length that is said."""
    ways = [{"product": "loaf", "stage": "proof", "place": "fridge"}]
    stage = next(s for s in otherwise(ways=ways).formulas["loaf"].stages if s.kind == "proof")
    assert (stage.place, stage.duration_s, stage.min_s, stage.max_s, stage.instead) == (
        "fridge", 9 * 3600.0, 6 * 3600.0, 12 * 3600.0, (),
    )  # fmt: skip
    bakes = [{"product": "roll", "set_temp_c": 220.0, "duration_s": 1500.0}]
    bake = next(s for s in otherwise(bakes=bakes).formulas["roll"].stages if s.kind == "bake")
    assert (bake.set_temp_c, bake.duration_s) == (220.0, 1500.0)


def test_a_stage_from_the_base_is_changed_for_one_product_only() -> None:
    """Behaviour: of two products of one dough, one is baked at another temperature; the base stays, and so does what
    the dough goes through as one mass, which belongs to the base."""
    base = formula("dough", chain=CHAIN)
    bun = formula("bun", parts=[], stages=[], base="dough", output=None)
    night = given([base, bun], [order("06:00", product="bun")])
    found = otherwise(night, bakes=[{"product": "bun", "set_temp_c": 230.0, "duration_s": 1200.0}]).formulas
    whole = joined(found["bun"], finder(found))
    assert [s.set_temp_c for s in whole.stages if s.kind == "bake"] == [230.0]
    assert [s.kind for s in whole.stages] == [stage["kind"] for stage in CHAIN]
    assert found["dough"] == base
    with pytest.raises(BadInput, match="is its base's: say it of 'dough'"):
        otherwise(night, ways=[{"product": "bun", "stage": "ferment", "place": "room"}])


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"things": [{"equipment": "tractor", "by": 1}]}, "there is no equipment 'tractor' in this kitchen"),
        ({"without": ["proofer"]}, "there is no equipment 'proofer'"),
        ({"hours": [{"person": "zoe", "begins_later_s": 60}]}, "nobody is called 'zoe' in this kitchen"),
        ({"ill": ["zoe"]}, "nobody is called 'zoe'"),
        ({"hours": [{"person": "ana", "begins_later_s": 8 * 3600}]}, "would work less than no time"),
        ({"hours": [{"person": "ana", "begins_earlier_s": 17 * 3600}]}, "would work more than a day"),
        ({"decks": [{"deck": "oven.top", "set_temp_c": 200}]}, "there is no deck 'oven.top'"),
        ({"ways": [{"product": "roll", "stage": "proof", "place": "fridge"}]}, "its formula allows: room"),
        ({"ways": [{"product": "roll", "stage": "fly", "place": "room"}]}, "has no stage 'fly'"),
        ({"orders": [{"product": "plait", "fewer": 2}]}, "nothing of 'plait' is ordered"),
    ],
)
def test_what_is_not_there_is_named(fields: dict[str, Any], told: str) -> None:
    """Bad input: one sentence that names it and says what there is."""
    with pytest.raises(BadInput) as caught:
        otherwise(**fields)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"hours": [{"person": "ana", "begins_later_s": 60, "begins_earlier_s": 60}]}, "begin earlier and later"),
        ({"hours": [{"person": "ana", "ends_later_s": 60, "ends_earlier_s": 60}]}, "end earlier and later"),
        ({"orders": [{"product": "loaf", "more": 1, "fewer": 1}]}, "are more and fewer"),
        ({"orders": [{"more": 1}]}, "name no product"),
        ({"decks": [{"deck": "a.b", "set_temp_c": t} for t in (200, 210)]}, "is kept at two set temperatures"),
    ],
)
def test_what_contradicts_itself_is_named(fields: dict[str, Any], told: str) -> None:
    """Bad input: before anything is planned."""
    with pytest.raises(DocumentError) as caught:
        Variation.read(fields, "variation")
    assert told in str(caught.value)


FULL: dict[str, Any] = {
    "name": "A busy Friday",
    "things": [{"equipment": "tin", "by": 2}, {"equipment": "fridge", "by": -1}],
    "without": ["oven.deck"],
    "hours": [{"person": "ana", "begins_earlier_s": 1500.0, "ends_later_s": 600.0}],
    "helpers": [{"start": "02:00:00", "end": "05:00:00"}],
    "ill": ["ben"],
    "room_c": 18.0,
    "orders": [{"product": "loaf", "fewer": 2}, {"product": "roll", "due": "07:00:00", "new_due": "07:20:00"}],
    "ways": [{"product": "loaf", "stage": "proof", "place": "fridge"}],
    "decks": [{"deck": "oven.deck", "set_temp_c": 190.0}],
    "bakes": [{"product": "loaf", "set_temp_c": 210.0, "duration_s": 1680.0}],
}


def test_the_document_reads_back() -> None:
    """Round trip: TOML and JSON and back are the same document."""
    variation = Variation.read(FULL, "whole")
    assert Variation.read_toml(variation.to_toml(), "back") == variation
    assert Variation.model_validate_json(variation.model_dump_json()) == variation
    assert both(variation, Variation()) == both(Variation(), variation) == variation


def test_a_variation_is_said_in_words() -> None:
    """Behaviour: everything in it is said, in one sentence."""
    assert said(Variation.read({**FULL, "name": None}, "whole"), NIGHT) == (
        "2 more of Tin and one fewer tray place in the Fridge and do without Oven and start Ana 25 min earlier "
        "(at 21:35) and Ana stays 10 min longer and one more pair of hands from 02:00 to 05:00 and ben does not come "
        "and a room of 18 °C and make 2 pieces fewer of Loaf and hand over Roll due at 07:00 at 07:20 instead and "
        "retard Loaf in the fridge and keep Oven at 190 °C and bake Loaf at 210 °C for 28 min"
    )
