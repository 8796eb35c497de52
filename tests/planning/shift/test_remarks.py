"""What is said of a plan that keeps every rule."""

from __future__ import annotations

import datetime as dt

from planning.shift.small_bakery import MINUTE_S, formula, kitchen, order, person, planned, stages, task
from smallhours.planning.shift.remarks import cold_pieces, ready_too_early

COLD = [{"id": "fridge", "name": "Fridge", "temp_c": 4.0, "tray_places": 10}]


def test_pieces_straight_from_the_cold_are_told() -> None:
    """Published: IREKS Compendium of Baking Technology, 6.3: core above 16 °C before baking. After eight hours at 4 °C
    a loaf of 1 kg is near 4 °C, and it is loaded without a rest in the room."""
    night = {"instead": [{"place": "fridge", "duration_s": 8 * 60 * MINUTE_S}], "min_s": 50 * MINUTE_S}
    hours = [{"start": "00:00:00", "end": "02:00:00"}, {"start": "09:00:00", "end": "12:00:00"}]
    place = kitchen(cold=COLD, people=[{**person("ana"), "hours": hours}])
    plan = planned([formula(chain=stages(("proof", night)))], [order("11:30")], place)
    assert task(plan, "proof").place == "fridge"
    (said,) = cold_pieces(plan)
    assert "16 °C" in said
    assert said in plan.notes


def test_pieces_from_the_room_are_not_told() -> None:
    """Limit: a loaf that proofed at 24 °C is warm enough."""
    plan = planned([formula()], [order("06:00")])
    assert list(cold_pieces(plan)) == []


def test_what_waits_longer_than_it_should_is_told() -> None:
    """Hand: people are there until 05:00 only, so bread for 12:00 is ready by 05:40 at the latest, at least 6 h 20 min
    early; its formula wants it sold within an hour."""
    bread = formula(fresh_s=3600.0)
    plan = planned([bread], [order("12:00")], kitchen(people=[person("ana", "00:00:00", "05:00:00")]))
    (lot,) = (lot for batch in plan.batches for lot in batch.lots)
    assert lot.ready is not None
    assert lot.due - lot.ready >= dt.timedelta(hours=6, minutes=20)
    (said,) = ready_too_early(plan, {"loaf": bread})
    assert "1 h" in said
    assert said in plan.notes
