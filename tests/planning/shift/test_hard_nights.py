"""Nights in which something is missing: a late plan that says so, or one clear sentence."""

from __future__ import annotations

import re
from typing import Any

import pytest
from pydantic import ValidationError

from planning.shift.small_bakery import (
    CHAIN,
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
from planning.shift.test_small_nights import with_sponge
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import batches
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput, DocumentError, NoPlaceForStage, OutOfRange
from smallhours.planning.shift.clock import clock_for
from smallhours.planning.shift.equipment import equipment_of
from smallhours.planning.shift.loosen import loosened
from smallhours.planning.shift.plan_night import Asked, night_question


def test_no_orders_no_work() -> None:
    """Bad input: an empty order book is a plan with the status empty, a sentence, and no tasks."""
    plan = planned([formula()], [])
    assert (plan.status, plan.tasks, plan.batches) == ("empty", (), ())
    assert "no orders" in plan.notes[0]


def test_somebody_without_hours_does_no_work() -> None:
    """Bad input: a person with no hours is in the plan, without hours and without work; another does it all."""
    plan = planned([formula()], [order("03:20")], kitchen(people=[person("ana"), person("ben", hours=[])]))
    assert next(p for p in plan.people if p.id == "ben").hours == ()
    assert {h.person for t in plan.tasks for h in t.hands} == {"ana"}


@pytest.mark.parametrize("people", [[], [person("ben", hours=[])]])
def test_nobody_there_is_refused(people: list[dict[str, Any]]) -> None:
    """Bad input: with nobody at work in the whole time, one sentence says from when to when."""
    with pytest.raises(BadInput, match=r"nobody works between 2026-11-27 00:00 and 2026-11-27 15:20.*give somebody"):
        planned([formula()], [order("03:20")], kitchen(people=people))


def test_an_oven_without_decks_is_refused() -> None:
    """Bad input: an oven with no decks, in a kitchen made past its own check, is refused in one sentence."""
    bare = kitchen().model_copy(update={"ovens": (kitchen().ovens[0].model_copy(update={"decks": ()}),)})
    with pytest.raises(DocumentError, match="oven 'oven' has no decks: give it at least one"):
        planned([formula()], [order("03:20")], bare)
    with pytest.raises(DocumentError, match="has no decks"):
        kitchen(ovens=[oven(decks=[])])


def test_a_million_pieces_are_refused() -> None:
    """Bad input: 10^6 pieces are no order; one fewer is more oven loads than a night is planned for."""
    with pytest.raises(ValidationError):
        order("03:20", pieces=1_000_000)
    with pytest.raises(OutOfRange, match="oven loads in one night"):
        planned([formula()], [order("03:20", pieces=999_999)])


@pytest.mark.parametrize(
    ("change", "more", "sentence"),
    [
        (("proof", {"place": "proofer"}), {}, "stage 'proof'; it needs a proofer with 4 tray places"),
        (("proof", {"place": "oven"}), {}, "stage 'proof'; it needs a set temperature to be in an oven"),
        (("cool", {}), {"racks": [{"id": "rack", "name": "Rack", "tray_places": 3}]},
         "stage 'cool'; it needs a rack with 4 tray places"),
        (("ferment", {"place": "freezer"}), {}, "stage 'ferment'; it needs a freezer with 2 tray places"),
    ],
)  # fmt: skip
def test_a_stage_that_nothing_does(change: tuple[str, dict[str, Any]], more: dict[str, Any], sentence: str) -> None:
    """Bad input: the sentence names the product, the stage and what is missing (a little over 4 kg of dough, 2.5 kg to
    a tray: two trays)."""
    with pytest.raises(NoPlaceForStage, match=f"Loaf: nothing in this kitchen does its {sentence}"):
        planned([formula(chain=stages(change))], [order("03:20")], kitchen(slab_mass_g=2500.0, **more))


def test_a_product_without_stages_is_refused() -> None:
    """Bad input: a formula that says nothing of how it is made cannot be planned."""
    with pytest.raises(BadInput, match="Loaf: part 'dough' has no stages"):
        planned([formula(chain=())], [order("03:20")])


def test_tins_for_half_of_it_make_two_doughs() -> None:
    """Hand: eight breads, four tins: two doughs. The second proofs 95 min after the first (50 proof, 30 bake, 15
    to cool), so what is ordered as one is ready at 295 min, 95 min late; nothing is kept longer than it may."""
    plan = planned([formula(pan="tin")], [order("03:20", pieces=8)])
    assert [[lot.pieces for lot in batch.lots] for batch in plan.batches] == [[4], [4]]
    assert plan.orders[0].late_s == 95 * 60
    assert plan.notes == ()


def test_what_must_outlast_its_window_is_held_and_told() -> None:
    """Hand: an oven for two of four breads bakes 90 min, so the second two go in 90 min after the first; they may wait
    40 min for their shaping (20 for each lot of the dough) and 10 after it: they stand 40 min too long at the least,
    in one place, and the plan says so."""
    chain = stages(("bake", {"duration_s": 5400.0}))
    plan = planned([formula(chain=chain, pan="tin")], [order("12:00")], kitchen(ovens=[oven(places=1)]))
    assert [[lot.pieces for lot in batch.lots] for batch in plan.batches] == [[2, 2]]
    (told,) = (note for note in plan.notes if "because nothing fits otherwise" in note)
    (minutes,) = re.findall(r"(\d+) min longer than the \d+ min allowed", told)
    assert int(minutes) >= 40


def test_a_preferment_nobody_is_there_to_use_waits_for_the_next_evening() -> None:
    """Hand: people only from 22:00 to 04:00; a sponge of 9 h set at 22:00 is ripe at 07:00, with nobody there. It keeps
    16 h: the dough is mixed at 22:00 on the day itself, ready 200 min later at 01:20; due 10:00, 920 min late."""
    chain = with_sponge(16 * 3600.0)
    chain["stages"][1]["duration_s"] = 9 * 3600.0
    place = kitchen(people=[person("ana", "22:00:00", "04:00:00")])
    plan = planned([formula(**chain)], [order("10:00")], place, start=MIDNIGHT - minutes(2 * 60))
    assert plan.orders[0].ready == MIDNIGHT + minutes(25 * 60 + 20)
    assert plan.orders[0].late_s == (15 * 60 + 20) * 60


def test_a_shift_shorter_than_a_bread() -> None:
    """Behaviour: with two hours of hands a day no bread of 200 minutes fits; it is held and told, not refused."""
    plan = planned([formula()], [order("06:00")], kitchen(people=[person("ana", "03:00:00", "05:00:00")]))
    assert plan.tasks
    assert any("because nothing fits otherwise" in note for note in plan.notes)


def test_no_time_to_search_still_gives_a_plan() -> None:
    """Limit: with no time at all to search, the search goes on until there is a plan."""
    plan = planned([formula()], [order("02:00")], limit=0.0)
    assert plan.orders[0].late_s == 80 * 60


def test_a_kitchen_of_hands_and_an_oven() -> None:
    """Hand: no bench, no rack, no mixer, no pans; kneaded by hand at a table, 4 min, still 194 min to ready."""
    chain = stages(("mix", {"place": "bench", "duration_s": 240.0}))
    bare = kitchen(mixers=[], benches=[], racks=[], pans=[])
    plan = planned([formula(chain=chain)], [order("03:00")], bare)
    assert plan.orders[0].ready == MIDNIGHT + minutes(194)


def test_a_batch_too_small_for_the_bowl_is_kneaded_by_hands_throughout() -> None:
    """Hand: 4 kg in a bowl from 20 kg is under half of it: made by hand, hands on it for all of its 10 min."""
    mixers = [{"id": "spiral", "name": "Spiral", "min_dough_g": 20000.0, "max_dough_g": 40000.0}]
    plan = planned([formula()], [order("03:20")], kitchen(mixers=mixers))
    mix = task(plan, "mix")
    assert mix.place == "by-hand"
    assert [(h.start, h.end) for h in mix.hands] == [(mix.start, mix.end)]
    assert plan.batches[0].mixer is None


def test_one_pair_of_hands_starts_and_ends_something_short() -> None:
    """Hand: a minute of mixing with hands for a minute at its start and at its end is one person, not two."""
    plan = planned([formula(chain=stages(("mix", {"duration_s": 60.0})))], [order("03:00")])
    assert plan.orders[0].ready == MIDNIGHT + minutes(191)


def test_baskets_stay_out_of_the_oven() -> None:
    """Hand: four baskets, two doughs. A basket is free when its bread goes into the oven: the second proofs from
    130 min, ready at 130 + 50 + 30 + 40 = 250, 50 min late."""
    pans = [{"id": "basket", "name": "Basket", "kind": "basket", "count": 4, "tray_share": 0.5, "cool_s": 0}]
    breads = [formula(name, pan="basket") for name in ("loaf", "roll")]
    plan = planned(breads, [order("03:20"), order("03:20", product="roll")], kitchen(pans=pans))
    assert all(use.resource != "basket" for t in plan.tasks if t.kind == "bake" for use in t.uses)
    assert sum(o.late_s for o in plan.orders) == 50 * 60


def test_something_that_is_never_divided_still_gets_ready() -> None:
    """Hand: a batter goes from the bowl into the oven, which is hot after 18 min: 18 + 30 + 40 = 88. What is not even
    baked is ready when its last stage ends, 10 + 10 min after midnight."""
    chain = tuple(s for s in CHAIN if s["kind"] in ("mix", "bake", "cool"))
    plan = planned([formula(chain=chain)], [order("01:00")])
    assert plan.orders[0].ready == MIDNIGHT + minutes(88)
    cold = planned([formula(chain=({"kind": "mix", "duration_s": 600.0}, {"kind": "cool", "duration_s": 600.0}))],
                   [order("01:00")])  # fmt: skip
    assert cold.orders[0].ready is not None
    assert cold.orders[0].ready >= MIDNIGHT + minutes(20)
    assert cold.orders[0].late_s == 0


def test_a_dough_folded_into_another_is_there_before_it_is_divided() -> None:
    """Hand: a main part without stages before its dividing, made of a dough that is mixed and rested for 70 min: the
    first stage of its lot waits for it, and it is ready after 200 min as ever."""
    inner = {"id": "dough", "name": "Dough", "lines": formula().parts[0].model_dump(exclude_none=True)["lines"]}
    outer = {"id": "filled", "name": "Filled", "percent_on": "mass",
             "lines": [{"part": "dough", "percent": 80.0}, {"ingredient": "raisins", "percent": 20.0}]}  # fmt: skip
    chain = [{**s, "part": "dough"} if s["kind"] in ("mix", "ferment") else s for s in CHAIN]
    plan = planned([formula(chain=chain, parts=[outer, inner], main="filled")], [order("02:00")])
    assert plan.orders[0].ready == MIDNIGHT + minutes(200)


def test_a_worker_of_two_days_gets_two_pauses() -> None:
    """Hand: hours around the clock from noon the day before; a pause between 03:00 and 04:00 comes once a day."""
    rest = [{"earliest": "03:00:00", "latest": "04:00:00", "duration_s": 1800.0}]
    place = kitchen(people=[person("ana", "12:00:00", "12:00:00", breaks=rest)])
    plan = planned([formula()], [order("23:00")], place, start=MIDNIGHT - minutes(12 * 60))
    assert [b.start.hour for b in plan.people[0].breaks] == [3, 3]


def test_a_kitchen_document_is_what_is_planned() -> None:
    """Limit: nothing in the plan is there that the kitchen does not have, and each thing with its own count."""
    place: Kitchen = kitchen()
    plan = planned([formula(pan="tin")], [order("03:20")], place)
    counts = {r.id: r.capacity for r in plan.resources}
    assert counts == {"people": 1, "spiral": 1, "bench": 2, "rack": 40, "tin": 4, "oven.deck": 8}


GLAZED = formula(pan="tin", chain=(*CHAIN[:4], {"kind": "finish", "id": "glaze", "duration_s": 60.0}, *CHAIN[4:]))


@pytest.mark.parametrize(("pieces", "watched"), [(4, False), (5, True)])
def test_what_waits_in_its_tins_keeps_them(pieces: int, watched: bool) -> None:
    """Hand: of four tins, five loaves take some twice: what waits between glazing and bake keeps its tins meanwhile,
    for ten minutes at most, and for as long as it takes where waits may be overrun. Four loaves need no watching."""
    place, orders = kitchen(), [order("09:00", pieces)]
    asked = Asked({"loaf": GLAZED}, orders, place, Pantry(), NIGHT)
    made = batches(orders, {"loaf": GLAZED}, place, Pantry())
    clock = clock_for(NIGHT, place.zone(), MIDNIGHT + minutes(9 * 60), MIDNIGHT)
    night, asking = night_question(asked, made, clock, equipment_of(place))
    for problem, longest in ((asking.problem, 10), (loosened(asking, night).problem, asking.problem.horizon)):
        waits = [task for task in problem.tasks if task.id.endswith("pans-wait:glaze")]
        assert len(waits) == (sum(len(batch.lots) for batch in made.batches) if watched else 0)
        assert all((w.modes[0].lo, w.modes[0].hi) == (0, longest) for w in waits)
        assert sum(d.amount for w in waits for d in w.modes[0].demands) == (5 if watched else 0)
        bakes = [task for task in problem.tasks if task.id.endswith(":bake")]
        assert all((bake.modes[0].lo, bake.modes[0].hi) == (30, 30) for bake in bakes)


def test_where_waits_may_be_overrun_a_proofed_lot_keeps_its_tins() -> None:
    """Hand: from proof to glazing no wait is allowed; where one may be taken all the same, it holds the four tins."""
    place, orders = kitchen(), [order("09:00", 4)]
    asked = Asked({"loaf": GLAZED}, orders, place, Pantry(), NIGHT)
    made = batches(orders, {"loaf": GLAZED}, place, Pantry())
    clock = clock_for(NIGHT, place.zone(), MIDNIGHT + minutes(9 * 60), MIDNIGHT)
    night, asking = night_question(asked, made, clock, equipment_of(place))
    after = {f"wait:{n}": link.lag.after for n, link in enumerate(asking.links)}
    held = {
        after[task.id].removeprefix("loaf.lot.1:dough:"): {(d.resource, d.amount) for d in task.modes[1].demands}
        for task in loosened(asking, night).problem.tasks
        if task.id in after
    }
    assert held["glaze"] == held["bake"] == {("tin", 4)}
    assert held["proof"] == held["cool"] == set()


def test_tins_of_a_waiting_lot_are_not_given_away() -> None:
    """Limit: five glazed loaves and four tins: the plan holds, and says where tins wait with their lot."""
    plan = planned([GLAZED], [order("09:00", 5)])
    assert {t.kind for t in plan.tasks} > {"pans-wait", "pans-cool"}
