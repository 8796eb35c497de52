"""Nights side by side, on nights small enough to be worked out by hand (see ``small_bakery``)."""

from __future__ import annotations

import pytest

from planning.shift.small_bakery import (
    MADE_AT,
    MIDNIGHT,
    formula,
    kitchen,
    minutes,
    order,
    oven,
    person,
    planned,
    stages,
)
from planning.whatif.otherwise import given, plan_of, thinking
from smallhours.bakery.shift.variation import Variation
from smallhours.errors import BadInput
from smallhours.planning.whatif.attempt import night_of, tried
from smallhours.planning.whatif.compare import compare
from smallhours.planning.whatif.document import Measures
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.varied import varied

NIGHT = given([formula()], [order("06:00")], kitchen(people=[person("ana", "02:00:00")]))


def side_by_side(night: Given, *variations: dict[str, object]) -> tuple[Measures, ...]:
    """The night and its variations."""
    said = [Variation.read(each, "variation") for each in variations]
    return compare(night, said, made_at=MADE_AT, thinking=thinking())


def test_later_by_an_hour_is_late_by_what_is_missing() -> None:
    """Hand: from 02:00, 200 min fit before 06:00; from 03:00 they end at 06:20, 20 min late, proven; an order at 07:00
    instead has time again."""
    late = {"hours": [{"person": "ana", "begins_later_s": 3600.0}]}
    now, then, moved = side_by_side(
        NIGHT, late, {**late, "orders": [{"product": "loaf", "new_due": "07:00:00"}], "name": "At seven"}
    )
    assert (now.name, now.late_s, now.late_orders) == ("As it is", 0.0, 0)
    assert then.name == "Start Ana 1 h later (at 03:00)"
    assert (then.late_s, then.late_orders, then.proven) == (1200.0, 1, True)
    assert then.orders[0].ready == MIDNIGHT + minutes(380)
    assert then.first_start == MIDNIGHT + minutes(180)
    assert (moved.name, moved.late_s, moved.waits_s) == ("At seven", 0.0, 0.0)


def test_ovens_are_on_for_bake_and_heating() -> None:
    """Hand: 18 min from 20 to 200 °C and a bake of 30 min; a room as warm as it is changes nothing."""
    now, same = side_by_side(NIGHT, {"room_c": 24.0})
    assert now.oven_s == same.oven_s == (18 + 30) * 60


def test_a_night_that_cannot_be_is_a_row_that_says_so() -> None:
    """Behaviour: without an oven, without people, and with nothing that fits, the others are still compared."""
    rows = side_by_side(NIGHT, {"without": ["oven"]}, {"ill": ["ana"]}, {"things": [{"equipment": "rack", "by": 1}]})
    assert [row.fits for row in rows] == [True, False, False, True]
    assert "the kitchen has no oven" in rows[1].note
    assert "nobody works" in rows[2].note


def test_a_deck_kept_at_one_temperature() -> None:
    """Hand: two decks, breads at 200 and 230 °C, the second with 10 K to give: with one kept at 235 only that one goes
    there; kept at 215, neither does, and the other deck has to change between them."""
    hot = formula("hearth", stages(("bake", {"set_temp_c": 230.0, "set_temp_give_k": 10.0})))
    decks = [{"id": "top", "tray_places": 8}, {"id": "low", "tray_places": 8}]
    night = given(
        [formula(), hot], [order("06:00"), order("06:00", product="hearth")], kitchen(ovens=[oven(decks=decks)])
    )
    kept = varied(night, Variation.read({"decks": [{"deck": "oven.top", "set_temp_c": 235.0}]}, "v"))
    plan = plan_of(tried(night_of(kept), thinking(), "best"))
    assert {s.set_temp_c for s in plan.ovens if s.deck == "oven.top"} <= {235.0}
    assert {t.set_temp_c for t in plan.tasks if t.place == "oven.top"} <= {235.0}
    other = varied(night, Variation.read({"decks": [{"deck": "oven.top", "set_temp_c": 215.0}]}, "v"))
    plan = plan_of(tried(night_of(other), thinking(), "best"))
    assert {t.place for t in plan.tasks if t.kind == "bake"} == {"oven.low"}
    both = varied(other, Variation.read({"without": ["oven.low"]}, "v"))
    with pytest.raises(BadInput, match=r"cannot be baked anywhere with oven\.top at 215 °C"):
        night_of(both)
    too_hot = varied(night, Variation.read({"decks": [{"deck": "oven.top", "set_temp_c": 320.0}]}, "v"))
    with pytest.raises(BadInput, match="Oven top cannot stand at 320 °C: it reaches 280 °C"):
        night_of(too_hot)


def test_the_plan_at_hand_is_where_it_starts_from() -> None:
    """Behaviour: the night as it is comes to what its plan comes to, and no more is tried than there are nights."""
    plan = planned([formula()], [order("06:00")], NIGHT.kitchen)
    told: list[tuple[int, int, str]] = []
    rows = compare(
        NIGHT, [Variation()], made_at=MADE_AT, thinking=thinking(), plan=plan,
        on_step=lambda *step: told.append(step),
    )  # fmt: skip
    assert rows[0].orders[0].ready == plan.orders[0].ready
    assert [step[:2] for step in told] == [(1, 2), (2, 2)]
