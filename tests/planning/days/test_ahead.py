"""What has to be begun on which day, and until when an order can be met: nights that can be worked out by hand."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planning.shift.small_bakery import CHAIN, MADE_AT, MINUTE_S, NIGHT, formula, kitchen, order, planned, stages
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.planning.days.ahead import ahead
from smallhours.planning.days.begun import Days
from smallhours.planning.days.document import Ahead, Begin
from smallhours.planning.days.soften import Butter
from smallhours.planning.plan import Plan

EVE = NIGHT - dt.timedelta(days=1)
FRIDGE = ({"id": "cold", "name": "Cold", "temp_c": 4.0, "tray_places": 20},)
HOUR_S = 60 * MINUTE_S


def at(day: dt.date, clock: str) -> dt.datetime:
    """An instant on the clock of the small kitchen, which is UTC."""
    return dt.datetime.combine(day, dt.time.fromisoformat(clock), dt.UTC)


def looked(
    formulas: list[Formula],
    orders: list[Order],
    first: dt.date = EVE,
    count: int = 1,
    place: Kitchen | None = None,
    plans: dict[dt.date, Plan] | None = None,
) -> Ahead:
    """The days ahead of some orders."""
    days = Days({each.id: each for each in formulas}, place or kitchen(cold=FRIDGE), Pantry())
    dates = {each.date for each in orders}
    wanted = {date: [each for each in orders if each.date == date] for date in dates}
    return ahead(days, wanted, first, count, made_at=MADE_AT, plans=plans)


def begun(found: Ahead, what: str) -> list[Begin]:
    """Everything of that name that is to be begun."""
    return [each for day in found.days for each in day.begin if each.what == what]


def with_part(kind: str, hours: float, name: str = "loaf", **more: Any) -> Formula:
    """The usual loaf with a part in its dough, mixed for 5 min and left for so many hours."""
    lines = [{"part": "extra", "percent": 30.0}, {"ingredient": "bread-flour", "percent": 100.0},
             {"ingredient": "water", "percent": 60.0}, {"ingredient": "yeast-instant", "percent": 0.5}]  # fmt: skip
    own = [{"ingredient": "rye-flour-medium", "percent": 100.0}, {"ingredient": "water", "percent": 100.0}]
    parts = [{"id": "dough", "name": "Loaf dough", "lines": lines},
             {"id": "extra", "name": "Extra", "kind": kind, "lines": own, "keeps_s": 12 * HOUR_S, **more}]  # fmt: skip
    chain = ({"kind": "mix", "part": "extra", "place": "bench", "duration_s": 300.0},
             {"kind": "rest", "part": "extra", "duration_s": hours * HOUR_S}, *CHAIN)  # fmt: skip
    return formula(name, chain, parts=parts)


@pytest.mark.parametrize(("kind", "said"), [("preferment", "feed"), ("soaker", "soak"), ("filling", "make")])
def test_a_part_is_begun_the_day_before(kind: str, said: str) -> None:
    """Hand: due at 05:00 with 200 min from mixing on, the dough is mixed at 01:40; the part needs 12 h and 5 min."""
    found = looked([with_part(kind, 12.0)], [order("05:00")])
    (extra,) = begun(found, "Extra")
    assert (extra.kind, extra.start, extra.end) == (said, at(EVE, "13:35"), at(NIGHT, "01:40"))
    assert (extra.used, str(extra.used_in)) == (at(NIGHT, "01:40"), "mix of Loaf dough")
    assert (extra.night, extra.products, extra.planned) == (NIGHT, ("loaf",), False)
    # 4 loaves of 1000 g, 1 % lost in mixing and 1 % in dividing, of which 30 in 190.5 are the part
    assert extra.mass_g == pytest.approx(4000 / 0.99 / 0.99 * 30 / 190.5, rel=0.002)


def test_what_begins_on_the_day_itself_is_no_matter_of_the_days_before() -> None:
    """Hand: a part of one hour is begun at 00:35, after midnight; one of two hours at 23:35 the day before."""
    assert begun(looked([with_part("soaker", 1.0)], [order("05:00")], count=2), "Extra") == []
    (extra,) = begun(looked([with_part("soaker", 2.0)], [order("05:00")]), "Extra")
    assert extra.start == at(EVE, "23:35")


def test_a_chain_of_two_days_is_seen_two_days_before() -> None:
    """Hand: 40 h and 5 min before 01:40 is 09:35 two days before; nothing of it falls on the day between."""
    two = NIGHT - dt.timedelta(days=2)
    found = looked([with_part("preferment", 40.0)], [order("05:00")], first=two, count=2)
    (extra,) = begun(found, "Extra")
    assert extra.start == at(two, "09:35")
    assert not found.days[1].begin


def test_what_lies_in_the_cold_overnight_is_loaded_the_day_before() -> None:
    """Hand: proof of 10 h in the fridge, bake and cooling 70 min: due at 05:00, loaded at 17:50 and out at 03:50.

    Its dough is 80 min old then, so it is mixed at 16:30.
    """
    cold = {"place": "fridge", "duration_s": 10 * HOUR_S, "at_temp_c": 4.0, "attention": "none"}
    found = looked([formula(chain=stages(("proof", cold)))], [order("05:00")])
    (loaded,) = begun(found, "Loaf")
    assert loaded.kind == "chill"
    assert loaded.end == at(NIGHT, "03:50")
    assert loaded.pieces == 4
    (mixed,) = begun(found, "loaf dough")
    assert mixed.kind == "mix"
    assert (loaded.start - mixed.start).total_seconds() == 80 * MINUTE_S


def test_frozen_pieces_are_taken_out_in_time() -> None:
    """Hand: 5 h in the room after the freezer, then bake and cooling 70 min: due at 05:00, out of it at 22:50."""
    frost = {"kind": "chill", "place": "freezer", "duration_s": 20 * HOUR_S, "at_temp_c": -18.0}
    chain = (*CHAIN[:3], frost, {"kind": "temper", "duration_s": 5 * HOUR_S}, *CHAIN[4:])
    place = kitchen(cold=[{"id": "frost", "name": "Frost", "kind": "freezer", "temp_c": -18.0, "tray_places": 20}])
    found = looked([formula(chain=chain)], [order("05:00")], place=place)
    (out,) = [each for each in begun(found, "Loaf") if each.kind == "take-out"]
    assert out.start == at(EVE, "22:50")


def test_butter_is_taken_out_as_long_before_as_it_takes() -> None:
    """Limit: it comes out as long before the mixing as a pack of 250 g takes, earlier if warmer, not at all for 4 °C.

    Source of the time: ``forecast.butter_block``, which has tests of its own.
    """

    def buttery(temp_c: float) -> Formula:
        lines = [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 50.0},
                 {"ingredient": "butter-unsalted", "percent": 20.0, "temp_c": temp_c}]  # fmt: skip
        return formula(parts=[{"id": "dough", "name": "Dough", "lines": lines}])

    starts = []
    for temp_c in (14.0, 18.0):
        (out,) = begun(looked([buttery(temp_c)], [order("03:00")]), "Butter, unsalted")
        assert (out.kind, out.used) == ("soften", at(EVE, "23:40"))
        starts.append(out.start)
    assert starts[1] < starts[0] < at(EVE, "23:40")
    assert begun(looked([buttery(4.0)], [order("03:00")]), "Butter, unsalted") == []
    assert begun(looked([buttery(30.0)], [order("03:00")]), "Butter, unsalted") == []
    line = buttery(14.0).parts[0].lines[2]
    stands_s = Butter(kitchen(cold=FRIDGE), Pantry()).stands_s(line, 24.0)
    assert stands_s is not None
    assert (at(EVE, "23:40") - starts[0]).total_seconds() == pytest.approx(stands_s, abs=30.0)


def test_a_plan_goes_before_what_is_reckoned_while_it_is_for_these_orders() -> None:
    """Behaviour: times come from the plan; when an order changes, they are reckoned again."""
    made, orders = with_part("preferment", 8.0), [order("05:00")]
    there = kitchen(
        cold=FRIDGE, people=[{"id": "ana", "name": "Ana", "hours": [{"start": "12:00:00", "end": "10:00:00"}]}]
    )
    plan = planned([made], orders, there, start=at(EVE, "12:00"))
    fed = next(task for task in plan.tasks if task.part == "extra" and task.kind == "mix")
    (extra,) = begun(looked([made], orders, place=there, plans={NIGHT: plan}), "Extra")
    assert (extra.start, extra.planned) == (fed.start, True)
    (extra,) = begun(looked([made], [order("05:00", 5)], place=there, plans={NIGHT: plan}), "Extra")
    assert not extra.planned


def test_the_cut_off_is_the_shortest_chain_before_the_due_time() -> None:
    """Hand: 200 min before 05:00 is 01:40; with a soaker of at least 3 h and 5 min of mixing, 22:35 the day before.

    A product that nobody ordered can be met until 200 min before the last due time of that night, 08:00.
    """
    soaked = with_part("soaker", 4.0, "seeded")
    soaked = soaked.model_copy(update={"stages": tuple(
        stage.model_copy(update={"min_s": 3 * HOUR_S}) if stage.kind == "rest" and stage.part == "extra" else stage
        for stage in soaked.stages)})  # fmt: skip
    orders = [order("05:00"), order("08:00"), order("05:00", product="seeded")]
    found = looked([formula(), soaked, formula("roll")], orders, count=2)
    offs = {(each.product, each.due): each for day in found.days for each in day.cut_offs}
    assert offs["loaf", at(NIGHT, "05:00")].latest == at(NIGHT, "01:40")
    assert offs["loaf", at(NIGHT, "08:00")].latest == at(NIGHT, "04:40")
    assert offs["seeded", at(NIGHT, "05:00")].latest == at(EVE, "22:35")
    assert str(offs["seeded", at(NIGHT, "05:00")].first) == "mix of Extra"
    assert (offs["roll", at(NIGHT, "08:00")].latest, offs["roll", at(NIGHT, "08:00")].ordered) == (
        at(NIGHT, "04:40"),
        False,
    )
    assert [each.latest for each in found.days[0].cut_offs] == [at(EVE, "22:35")]


def test_no_days_at_all() -> None:
    """Bad input: no day, and more than a month."""
    for count in (0, 32):
        with pytest.raises(BadInput, match="1 to 31"):
            looked([formula()], [order("05:00")], count=count)
