"""Planning anew while the night runs, on nights small enough to be worked out by hand (see ``small_bakery``)."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planning.shift.small_bakery import (
    CHAIN_MIN,
    MIDNIGHT,
    NIGHT,
    formula,
    kitchen,
    minutes,
    order,
    oven,
    person,
    planned,
    stages,
    task,
)
from planning.sound import wrong_with
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.shift.happened import Away, Down, Extra, Happened, Lost, TaskSaid
from smallhours.errors import BadInput, DocumentError
from smallhours.planning.live.changes import sentence
from smallhours.planning.live.replan import replan
from smallhours.planning.plan import Plan

LOAF = formula()
MADE_AT = MIDNIGHT


def at(hour: int, minute: int = 0) -> dt.datetime:
    """An instant of the morning."""
    return MIDNIGHT + minutes(60 * hour + minute)


def anew(plan: Plan, now: dt.datetime, place: Kitchen | None = None, formulas: Any = (LOAF,), **said: Any) -> Plan:
    """The plan after what was said, the same every time, gone over by the outsider's check."""
    happened = Happened.read({"now": now, **said}, "what happened")
    written = {each.id: each for each in formulas}
    there = place or kitchen()
    after = replan(
        plan,
        happened,
        written,
        there,
        Pantry(),
        made_at=MADE_AT,
        time_limit_s=4.0,
        workers=1,
        deterministic=True,
    )
    assert wrong_with(after, there, written) == []
    return after


def places(plan: Plan) -> dict[str, tuple[dt.datetime, dt.datetime]]:
    """Where each task lies."""
    return {each.id: (each.start, each.end) for each in plan.tasks}


@pytest.fixture(scope="module")
def night() -> Plan:
    """Four loaves due at 06:00: mixing from 02:40 at the latest."""
    return planned([LOAF], [order("06:00")])


@pytest.mark.parametrize("minute", [0, 150, 170, 200, 260, 330, 359])
def test_what_goes_as_planned_stays_as_planned(night: Plan, minute: int) -> None:
    """Behaviour: at whatever time it is asked, if nothing is said, nothing moves."""
    after = anew(night, at(0, minute))
    assert places(after) == places(night)
    assert after.changes == ()
    now = at(0, minute)
    for each in after.tasks:
        assert each.state == ("done" if each.end <= now else "running" if each.start < now else "planned"), each.id


def test_a_slow_proof_makes_its_bread_late_by_as_much(night: Plan) -> None:
    """Hand: nothing after the proof can be shorter, so 20 min more of it are 20 min late."""
    proof = task(night, "proof")
    after = anew(night, proof.start + minutes(10), tasks=[{"task": proof.id, "longer_s": 1200.0}])
    assert after.orders[0].late_s == 20 * 60
    assert after.objective[0].proven
    assert task(after, "bake").start == task(night, "bake").start + minutes(20)
    bake = next(change for change in after.changes if change.task == task(after, "bake").id)
    assert (bake.kind, bake.by_s) == ("later", 1200.0)
    assert "it waits for proof of loaf.lot.1" in sentence(bake, after)


def test_a_bake_waits_for_an_oven_that_is_down_and_heats_again(night: Plan) -> None:
    """Hand: the deck stands at 200 °C when the bake should begin, 05:20 - 30 min = 04:50. From 04:40 it is out of use
    until 05:00 and loses 5 K a minute: 20 min bring it to 100 °C; 10 min more heat it up again: the bake begins at
    05:10, 20 min late."""
    bake = task(night, "bake")
    assert bake.start == at(4, 50)
    place = kitchen(ovens=[oven(start_temp_c=20.0)])
    held = planned([LOAF], [order("06:00")], place)
    now = at(4, 50) - minutes(10)
    after = anew(held, now, place, down=[{"equipment": "oven", "until": at(5, 0)}])
    heating = next(s for s in held.ovens)
    hot_at = heating.heat_from + minutes(18)
    assert hot_at == at(4, 50)  # it is heated up just in time: at 04:40 it has 100 °C, and cools to 20 °C in 16 min
    assert task(after, "bake").start == at(5, 0) + minutes(18)
    assert after.orders[0].late_s == 28 * 60


def test_one_who_comes_late_is_waited_for(night: Plan) -> None:
    """Hand: nobody is there until 03:00, so that the 200 min end at 06:20."""
    after = anew(night, at(1), away=[{"person": "ana", "until": at(3)}])
    assert after.orders[0].ready == at(3) + minutes(CHAIN_MIN)
    assert after.people[0].hours[0].end == at(1)
    assert after.people[0].hours[1].start == at(3)


def test_work_goes_on_in_other_hands() -> None:
    """Hand: 10 min of shaping by hand, left after 4 of them for half an hour: its last 6 min end 30 min later."""
    chain = stages(("ferment", {"max_s": 7200.0}), ("proof", {"max_s": 7200.0}))
    plan = planned([formula(chain=chain)], [order("06:00")])
    shaping = task(plan, "shape")
    left = shaping.start + minutes(4)
    after = anew(plan, left, formulas=(formula(chain=chain),), away=[{"person": "ana", "until": left + minutes(30)}])
    assert task(after, "shape").end == shaping.end + minutes(30)
    assert task(after, "shape").hands[-1].start == left + minutes(30)
    assert after.orders[0].late_s == 30 * 60


def test_a_pause_of_somebody_who_left_is_not_taken() -> None:
    """Behaviour: whoever goes home does not hold a place in the plan for a pause."""
    rest = [{"earliest": "03:30:00", "latest": "05:00:00", "duration_s": 900.0}]
    place = kitchen(people=[person("ana"), person("berta", breaks=rest)])
    plan = planned([LOAF], [order("06:00")], place)
    after = anew(plan, at(3), place, away=[{"person": "berta"}])
    assert [len(each.breaks) for each in after.people] == [0, 0]
    assert after.orders[0].late_s == 0


def test_what_was_dropped_is_made_anew(night: Plan) -> None:
    """Hand: dropped at 04:50, made from the beginning: ready 200 min later at the earliest, at 08:10."""
    lot = night.batches[0].lots[0].id
    after = anew(night, at(4, 50), lost=[{"of": lot}])
    assert after.orders[0].ready == at(4, 50) + minutes(CHAIN_MIN)
    assert after.orders[0].late_s == 130 * 60
    assert {each.state for each in after.tasks if each.lot == lot} == {"lost"}
    assert sum(share.pieces for share in after.orders[0].lots) == 4
    assert next(each for batch in after.batches for each in batch.lots if each.id == lot).lost


def test_what_is_given_up_is_not_made(night: Plan) -> None:
    """Behaviour: a lot that is lost and not made again leaves its order without bread, and says so."""
    lot = night.batches[0].lots[0].id
    two = planned([LOAF, formula("roll")], [order("06:00"), order("06:30", product="roll")])
    after = anew(two, at(4, 50), formulas=(LOAF, formula("roll")), lost=[{"of": lot, "remake": False}])
    assert after.orders[0].ready is None
    assert after.orders[1].late_s == 0


def test_an_extra_order_gets_a_dough_of_its_own(night: Plan) -> None:
    """Hand: at 01:00 there is time for 8 more by 07:00, and nothing that was told moves."""
    extra = {"customer": "Late", "product": "loaf", "date": NIGHT, "due": dt.time(7), "pieces": 8}
    after = anew(night, at(1), orders=[extra])
    assert [each.late_s for each in after.orders] == [0.0, 0.0]
    assert {name: where for name, where in places(after).items() if name in places(night)} == places(night)
    assert [batch.id for batch in after.batches] == ["loaf.dough.1", "loaf.dough.1+1"]
    assert {change.kind for change in after.changes} == {"new"}


def test_words_add_up_over_a_night(night: Plan) -> None:
    """Behaviour: what was said once stays known: an extra order, then a slow proof of it, then its lot on the floor."""
    extra = {"customer": "Late", "product": "loaf", "date": NIGHT, "due": dt.time(7), "pieces": 8}
    first = anew(night, at(1), orders=[extra])
    proof = next(each for each in first.tasks if each.kind == "proof" and each.lot and each.lot.endswith("+1"))
    second = anew(first, proof.start + minutes(5), tasks=[{"task": proof.id, "longer_s": 600.0}])
    assert second.orders[1].late_s <= 600.0
    third = anew(second, proof.start + minutes(10), lost=[{"of": proof.lot}])
    assert [batch.id for batch in third.batches if not batch.lost] == [
        "loaf.dough.1",
        "loaf.dough.1+1",
        "loaf.dough.1+2",
    ]
    assert sum(share.pieces for share in third.orders[1].lots) == 8
    assert third.happened is not None
    assert len(third.happened.orders) == 1


def test_a_dough_measured_cold_rises_longer() -> None:
    """Limit: a dough of 18 °C off the mixer needs longer than planned, one of 24 °C as long as planned."""
    chain = stages(
        ("ferment", {"at_temp_c": 24.0, "min_s": 2400.0, "max_s": 7200.0}),
        ("proof", {"at_temp_c": 24.0, "max_s": 4800.0}),
    )
    parts = [{"id": "dough", "name": "Dough", "target_temp_c": 24.0,
              "lines": [line.model_dump() for line in LOAF.parts[0].lines]}]  # fmt: skip
    warm = formula(chain=chain, parts=parts)
    plan = planned([warm], [order("06:00")])
    ferment = task(plan, "ferment")
    mixed = {"task": task(plan, "mix").id, "dough_temp_c": 18.0}
    cold = anew(plan, ferment.start + minutes(1), formulas=(warm,), tasks=[mixed])
    same = anew(plan, ferment.start + minutes(1), formulas=(warm,), tasks=[{**mixed, "dough_temp_c": 24.0}])
    assert task(cold, "ferment").window.preferred_s > task(plan, "ferment").window.preferred_s + 300
    assert task(same, "ferment").window == task(plan, "ferment").window


def test_hands_stay_with_those_who_were_told() -> None:
    """Behaviour: of two people, each keeps the work that was promised when nothing moves."""
    place = kitchen(people=[person("ana"), person("berta")])
    plan = planned([LOAF, formula("roll")], [order("06:00"), order("06:00", product="roll")], place)
    after = anew(plan, at(2), place, formulas=(LOAF, formula("roll")))
    assert {t.id: t.hands for t in after.tasks} == {t.id: t.hands for t in plan.tasks}


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"tasks": [{"task": "loaf.lot.1:dough:fly", "waiting": True}]}, "has no task 'loaf.lot.1:dough:fly'"),
        ({"down": [{"equipment": "tractor"}]}, "there is no 'tractor' in this night"),
        ({"away": [{"person": "zoe"}]}, "nobody is called 'zoe' in this kitchen (there are: ana)"),
        ({"lost": [{"of": "bread"}]}, "nothing in this night is called 'bread'"),
        ({"tasks": [{"task": "loaf.lot.1:dough:bake", "place": "fridge", "running": True}]}, "is not done in 'fridge'"),
        (
            {"tasks": [{"task": "loaf.dough.1:dough:mix", "waiting": True},
                       {"task": "loaf.dough.1:dough:ferment", "start": "2026-11-27T02:50:00Z"}]},
            "is said to wait, but 'loaf.dough.1:dough:ferment'",
        ),
    ],
)  # fmt: skip
def test_words_that_do_not_fit_are_named(night: Plan, said: dict[str, Any], told: str) -> None:
    """Bad input: one sentence that names what does not fit."""
    with pytest.raises(BadInput) as caught:
        anew(night, at(5), **said)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"tasks": [{"task": "a", "start": at(3), "end": at(2)}]}, "ended at 02:00, before it began at 03:00"),
        ({"tasks": [{"task": "a", "end": at(9)}]}, "is said to have ended at 09:00, after now"),
        ({"tasks": [{"task": "a"}, {"task": "a"}]}, "is spoken of twice"),
        ({"tasks": [{"task": "a", "waiting": True, "running": True}]}, "is said to wait and to have begun"),
        ({"down": [{"equipment": "oven", "until": at(2)}]}, "is out until 02:00, which is not after now"),
    ],
)
def test_words_that_contradict_one_another_are_named(said: dict[str, Any], told: str) -> None:
    """Bad input: one sentence for each contradiction, before anything is planned."""
    with pytest.raises(DocumentError) as caught:
        Happened.read({"now": at(5), **said}, "what happened")
    assert told in str(caught.value)


def test_time_does_not_run_backwards(night: Plan) -> None:
    """Bad input: what is already written down for 03:00 cannot be asked for 02:00 again."""
    with pytest.raises(DocumentError, match="before 03:00, until which the night is already written down"):
        anew(anew(night, at(3)), at(2))


def test_work_on_broken_equipment_has_to_be_decided(night: Plan) -> None:
    """Bad input: a mixer that breaks in mid batch leaves a question that only a baker can answer."""
    mixing = task(night, "mix")
    with pytest.raises(BadInput, match=r"say that it ended .* or that its dough is lost"):
        anew(night, mixing.start + minutes(5), down=[{"equipment": "spiral", "until": at(4)}])
    after = anew(night, mixing.start + minutes(5), down=[{"equipment": "spiral", "until": at(4)}],
                 lost=[{"of": "loaf.dough.1"}])  # fmt: skip
    assert task(after, "bake").start >= at(4) + minutes(10 + 60 + 10 + 50)


def test_the_document_reads_back() -> None:
    """Round trip: TOML and back is the same document."""
    happened = Happened(
        now=at(5),
        tasks=(TaskSaid(task="a", longer_s=600.0, dough_temp_c=22.0),),
        down=(Down(equipment="oven", until=at(6)),),
        away=(Away(person="ana"),),
        lost=(Lost(of="loaf.lot.1"),),
        orders=(Extra(customer="Late", product="loaf", date=NIGHT, due=dt.time(7), pieces=8),),
    )
    assert Happened.read_toml(happened.to_toml(), "back") == happened
