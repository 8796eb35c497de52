"""Orders become lots and batches: nothing lost, nothing too large, shared doughs shared."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bakery.orders.bakery_for_orders import DAY, FORMULAS, KITCHEN, PANTRY, order
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.formula.scaling import scale_by_pieces
from smallhours.bakery.kitchen.document import Deck, Kitchen, Pan
from smallhours.bakery.orders.batches import Batch, BatchPlan, batches, fed_by
from smallhours.bakery.orders.document import Order
from smallhours.errors import DocumentError, OutOfRange

EARLY, LATE = dt.time(5), dt.time(7)


def _plan(*orders: Order, kitchen: Kitchen = KITCHEN) -> BatchPlan:
    return batches(orders, FORMULAS, kitchen, PANTRY)


def _of(plan: BatchPlan, formula: str, part: str) -> list[Batch]:
    return [batch for batch in plan.batches if (batch.formula.id, batch.part_id) == (formula, part)]


def _weighed_g(product: str, pieces: int, part: str = "dough") -> float:
    formula = joined(FORMULAS[product], FORMULAS.__getitem__)
    return scale_by_pieces(formula, PANTRY, pieces).amounts.parts[part].mass_g


def test_no_orders() -> None:
    """Limit: an empty order book is an empty plan, not an error."""
    assert _plan() == BatchPlan()


def test_losses_are_worked_backwards() -> None:
    """Hand: 30 buns of 90 g are 2700 g divided; 1 % lost at dividing, 1 % in mixing: 2700 / 0.99 / 0.99 = 2754.8 g."""
    (batch,) = _plan(order("bun", 30)).batches
    assert batch.mass_g == pytest.approx(2754.82, abs=0.01)
    assert math.fsum(batch.amounts.ingredients("dough").values()) == pytest.approx(batch.mass_g)
    # 100 of 190 parts are flour (100 + 50 + 10 + 12 + 15 + 1.8 + 1.2)
    assert batch.flour_g == pytest.approx(2754.82 * 100 / 190, abs=0.01)
    assert batch.mixers == ("planetary",)


def test_products_share_their_base_dough() -> None:
    """Hand: 8 braids and 30 buns are one sweet dough of 4 kg + 2.7 kg divided; the wash is the braid's alone."""
    plan = _plan(order("braid", 8), order("bun", 30))
    (dough,) = _of(plan, "sweet-dough", "dough")
    assert dough.mass_g == pytest.approx((8 * 500 + 30 * 90) / 0.99**2)
    assert [(lot.product, lot.pieces, lot.pans) for lot in dough.lots] == [("braid", 8, 2), ("bun", 30, 2)]
    (wash,) = _of(plan, "braid", "wash")
    assert wash.mass_g == pytest.approx(64)
    assert (wash.feeds, wash.mixers, wash.lots) == ((dough.id,), (), ())


def test_one_preferment_for_the_whole_night() -> None:
    """Hand: 60 loaves of 900 g need 55.1 kg, two bowls of 27.5 kg; the poolish for both is made once.

    Of 100 flour, 68 water, 2 salt (all told) the poolish holds 25 + 25 + 0.025 yeast: 50.025 of 170.025 parts.
    """
    plan = _plan(order("hearth", 60))
    doughs = _of(plan, "hearth", "dough")
    assert [round(dough.mass_g) for dough in doughs] == [27548, 27548]
    (poolish,) = _of(plan, "hearth", "poolish")
    assert poolish.mass_g == pytest.approx(2 * 27548.2 * 50.025 / 170.025, rel=1e-4)
    assert poolish.feeds == tuple(dough.id for dough in doughs)
    assert poolish.mixers == ("spiral",)
    assert doughs[0].flour_g == pytest.approx(27548.2 * 100 / 170.025, rel=1e-4)


def test_earliest_due_goes_into_the_first_bowl() -> None:
    """Behaviour: whatever the order of the book, the first bowl holds what is due first."""
    plan = _plan(order("hearth", 40, LATE), order("hearth", 20, EARLY))
    first, second = _of(plan, "hearth", "dough")
    assert [lot.due.hour for lot in first.lots][:2] == [4, 4]  # 05:00 in Madrid in winter
    assert max(lot.due for lot in first.lots) <= min(lot.due for lot in second.lots)


def test_a_lot_fits_one_chamber() -> None:
    """Hand: the hearth loaf needs steam, so the deck oven: 2 places = 12 loaves at once; 30 loaves are 12 + 12 + 6."""
    (dough,) = _of(_plan(order("hearth", 30)), "hearth", "dough")
    assert [(lot.pieces, lot.pans, lot.tray_places) for lot in dough.lots] == [(12, 2, 2), (12, 2, 2), (6, 1, 1)]
    (dough,) = _of(_plan(order("bun", 80)), "sweet-dough", "dough")
    assert [(lot.pieces, lot.pans) for lot in dough.lots] == [(75, 5), (5, 1)]  # five places in the fan oven


def test_lots_are_made_from_what_one_bowl_holds() -> None:
    """Hand: 60 loaves of one due in two bowls of 30: 12 + 12 + 6 from each, not loads that two bowls must share."""
    first, second = _of(_plan(order("hearth", 60)), "hearth", "dough")
    assert [lot.pieces for lot in (*first.lots, *second.lots)] == [12, 12, 6, 12, 12, 6]


def test_orders_of_one_due_share_pans() -> None:
    """Hand: 10 and 20 buns due together fill two trays of 15, not three; at two times they are two lots."""
    (dough,) = _plan(order("bun", 10, customer="A"), order("bun", 20, customer="B")).batches
    (lot,) = dough.lots
    assert (lot.pans, lot.orders) == (2, ((0, 10), (1, 20)))
    (dough,) = _plan(order("bun", 10, EARLY), order("bun", 20, LATE)).batches
    assert [(lot.pans, lot.orders) for lot in dough.lots] == [(1, ((0, 10),)), (2, ((1, 20),))]


def test_small_pans_share_a_tray_place() -> None:
    """Hand: a tin that takes a third of a tray place: 30 loaves in 5 tins go at once in 2 places of the deck oven."""
    tins = Pan(id="board", name="Tin", kind="tin", count=50, tray_share=1 / 3)
    kitchen = KITCHEN.model_copy(update={"pans": (KITCHEN.pans[0], tins)})
    (dough,) = _of(_plan(order("hearth", 30), kitchen=kitchen), "hearth", "dough")
    assert [(lot.pieces, lot.pans, lot.tray_places) for lot in dough.lots] == [(30, 5, 2)]


def test_no_more_pans_than_there_are() -> None:
    """Hand: the fan oven takes 5 trays, but there are 3: 45 buns find trays. 60 are two doughs of 30, because the
    second half could not be panned until the first is baked and its trays are cold."""
    kitchen = KITCHEN.model_copy(update={"pans": (Pan(id="tray", name="Tray", count=3), KITCHEN.pans[1])})
    (dough,) = _plan(order("bun", 45), kitchen=kitchen).batches
    assert [lot.pieces for lot in dough.lots] == [45]
    doughs = _plan(order("bun", 60), kitchen=kitchen).batches
    assert [[lot.pieces for lot in dough.lots] for dough in doughs] == [[30], [30]]


def test_a_batter_is_mixed_for_the_oven_it_goes_straight_into() -> None:
    """Hand: a batter with no rest between bowl and oven, one fan oven of 5 trays of 15: 150 pieces are two bowls, each
    of one load, where a dough that proofs meanwhile is one bowl of two loads."""
    doughs = _plan(order("bun", 150)).batches
    assert [[lot.pieces for lot in dough.lots] for dough in doughs] == [[75, 75]]
    rests = ("rest", "ferment", "proof", "retard", "chill")
    straight = {
        name: formula.model_copy(update={"stages": tuple(s for s in formula.stages if s.kind not in rests)})
        for name, formula in FORMULAS.items()
    }
    batters = batches((order("bun", 150),), straight, KITCHEN, PANTRY).batches
    assert [[lot.pieces for lot in batter.lots] for batter in batters] == [[75], [75]]


def test_a_batch_under_every_minimum_is_said_and_planned() -> None:
    """Hand: 10 buns are 918 g, the planetary starts at 1000 g: 1 piece more does. 4 buns (367 g) are made by hand."""
    plan = _plan(order("bun", 10))
    assert plan.batches[0].mixers == ("planetary",)
    (finding,) = plan.problems
    assert (finding.rule, finding.where) == ("batch_under_bowl_minimum", plan.batches[0].id)
    assert "add 1 piece or merge" in finding.sentence
    assert "by hand" in finding.sentence
    by_hand = _plan(order("bun", 4))
    assert by_hand.batches[0].mixers == ()
    assert "it is planned by hand" in by_hand.problems[0].sentence


def test_a_batch_larger_than_any_mixer_is_split() -> None:
    """Hand: 400 buns are 36.7 kg, two bowls of 18.4 kg in the spiral, cut at whole trays of 15."""
    first, second = _plan(order("bun", 400)).batches
    assert (first.mixers, second.mixers) == (("spiral",), ("spiral",))
    assert sum(lot.pieces for lot in first.lots) % 15 == 0
    assert first.mass_g + second.mass_g == pytest.approx(_weighed_g("bun", 400))
    assert abs(first.mass_g - second.mass_g) <= 15 * 90 / 0.98


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(("bun", "braid", "hearth")), st.integers(1, 400), st.sampled_from((EARLY, LATE))),
        max_size=8,
    )
)
def test_nothing_is_lost(asked: list[tuple[str, int, dt.time]]) -> None:
    """Limit: every piece ordered is in a lot, every gram in a batch, no bowl over its limit, no lot too large."""
    orders = [order(product, pieces, due) for product, pieces, due in asked]
    plan = _plan(*orders)
    got = dict.fromkeys(range(len(orders)), 0)
    for lot in (lot for batch in plan.batches for lot in batch.lots):
        assert lot.pieces == sum(pieces for _, pieces in lot.orders)
        assert lot.tray_places <= (2 if lot.product == "hearth" else 5)
        for index, pieces in lot.orders:
            assert orders[index].product == lot.product
            got[index] += pieces
    assert got == {index: each.pieces for index, each in enumerate(orders)}
    ids = [batch.id for batch in plan.batches] + [lot.id for batch in plan.batches for lot in batch.lots]
    assert len(set(ids)) == len(ids)
    _check_masses(plan, orders)


def _check_masses(plan: BatchPlan, orders: Sequence[Order]) -> None:
    for batch in plan.batches:
        assert batch.mass_g <= 30000 + 1e-6
        if batch.lots:
            assert batch.mass_g == pytest.approx(sum(lot.main_mass_g for lot in batch.lots))
        flour = batch.amounts.ingredients(batch.part_id).get("bread-flour", 0.0)
        assert batch.flour_g == pytest.approx(flour)
    poolish = sum(batch.mass_g for batch in plan.batches if batch.part_id == "poolish")
    loaves = sum(each.pieces for each in orders if each.product == "hearth")
    assert poolish == pytest.approx(_weighed_g("hearth", loaves, "poolish") if loaves else 0)


@pytest.mark.parametrize(
    ("date", "expected"),
    [(dt.date(2026, 3, 29), "2026-03-29T01:00:00+00:00"), (dt.date(2026, 10, 25), "2026-10-25T00:30:00+00:00")],
)
def test_due_when_the_clocks_change(date: dt.date, expected: str) -> None:
    """Hand: 02:30 is skipped on 29 March (due at the jump, 01:00 UTC) and is there twice on 25 October (the first)."""
    (batch,) = _plan(order("bun", 30, dt.time(2, 30), date=date)).batches
    assert batch.lots[0].due.isoformat() == expected


def test_feeds_overlap() -> None:
    """Hand: two bowls of 6 feed three of 4: the first the first and half the second, the other the rest."""
    assert fed_by((6.0, 6.0), [("a", 4.0), ("b", 4.0), ("c", 4.0)]) == [("a", "b"), ("b", "c")]


def _without(**change: object) -> Kitchen:
    return KITCHEN.model_copy(update=change)


@pytest.mark.parametrize(
    ("kitchen", "product", "sentence"),
    [
        (KITCHEN, "brade", r"order 1 \(Shop\): there is no formula 'brade' \(did you mean 'braid'\?\)"),
        (KITCHEN, "sweet-dough", "has no output"),
        (_without(mixers=()), "bun", "the kitchen has none"),
        (_without(ovens=()), "bun", "the kitchen has no oven"),
        (_without(ovens=(KITCHEN.ovens[0].model_copy(update={"decks": ()}),)), "bun", "oven 'deck' has no decks"),
        (_without(ovens=KITCHEN.ovens[1:]), "hearth", "is baked at 240 °C or more with steam, but .* no such oven"),
        (_without(pans=KITCHEN.pans[1:]), "bun", r"'tray', which is not in the kitchen \(there are: board\)"),
        (_without(pans=(Pan(id="tray", name="Tray", count=0),)), "bun", "of which the kitchen has 0"),
        (_without(pans=(Pan(id="tray", name="Tray", count=9, tray_share=4),), ovens=(
            KITCHEN.ovens[0].model_copy(update={"decks": (Deck(id="d", tray_places=2),)}),)),
         "bun", "one pan takes 4 tray places, but the largest oven chamber has 2"),
    ],
)  # fmt: skip
def test_what_cannot_be_planned(kitchen: Kitchen, product: str, sentence: str) -> None:
    """Bad input: each with one sentence that says what is wrong and where."""
    with pytest.raises(DocumentError, match=sentence) as caught:
        _plan(order(product, 30), kitchen=kitchen)
    assert len(caught.value.faults) == 1


@pytest.mark.parametrize("pieces", [0, -3, 1_000_000])
def test_pieces_out_of_range(pieces: int) -> None:
    """Bad input: orders that came past the document's own check."""
    wrong = Order.model_construct(customer="Shop", product="bun", date=DAY, due=EARLY, pieces=pieces)
    with pytest.raises(DocumentError, match=f"orders {pieces} pieces: it must be from 1 to 999999"):
        _plan(wrong)


def test_all_faults_at_once() -> None:
    """Bad input: everything that is wrong is in one report."""
    with pytest.raises(DocumentError) as caught:
        _plan(order("nothing", 5), order("bun", 5), kitchen=_without(ovens=()))
    assert len(caught.value.faults) == 2


def test_more_than_a_night_holds() -> None:
    """Bad input: 999 999 buns."""
    with pytest.raises(OutOfRange, match="13334 oven loads in one night"):
        _plan(order("bun", 999_999))


def test_a_product_that_changes_its_base() -> None:
    """Behaviour: a product that redefines the base's dough gets a batch of its own."""
    base = FORMULAS["sweet-dough"]
    lines = base.parts[0].lines
    own = base.parts[0].model_copy(
        update={"lines": (*lines[:3], lines[3].model_copy(update={"percent": 20}), *lines[4:])}
    )
    sweeter = FORMULAS["bun"].model_copy(update={"id": "sweeter", "name": "Sweeter bun", "parts": (own,)})
    formulas: dict[str, Formula] = {**FORMULAS, "sweeter": sweeter}
    plan = batches((order("bun", 30), order("sweeter", 30)), formulas, KITCHEN, PANTRY)
    assert [(batch.formula.id, len(batch.lots)) for batch in plan.batches] == [("sweet-dough", 1), ("sweeter", 1)]


def _one_bowl(most_g: float) -> Kitchen:
    """The kitchen with nothing but a small bowl."""
    bowl = KITCHEN.mixers[1].model_copy(update={"min_dough_g": 200, "max_dough_g": most_g})
    return KITCHEN.model_copy(update={"mixers": (bowl,)})


def test_no_bowl_is_filled_over_its_brim_by_a_whole_piece() -> None:
    """Hand: a braid takes 500 / 0.99 / 0.99 = 510.2 g; a bowl of 1300 g holds two, so that 7 braids are 4 bowls of 2,
    2, 2 and 1 (equal shares of 3 bowls would be 1190 g, and whole pieces 2, 3, 2: 1530 g in one)."""
    plan = _plan(order("braid", 7), kitchen=_one_bowl(1300))
    masses = [batch.mass_g for batch in _of(plan, "sweet-dough", "dough")]
    assert sorted(round(mass / 510.15) for mass in masses) == [1, 2, 2, 2]
    assert max(masses) <= 1300
    assert plan.problems == ()


def test_a_piece_heavier_than_every_bowl_is_refused() -> None:
    """Bad input: one braid takes 510 g and the largest bowl 500 g: nothing mixes it; one sentence says so."""
    with pytest.raises(
        DocumentError, match="'braid': takes 510 g of dough for one piece, but the largest bowl takes 500"
    ):
        _plan(order("braid", 1), kitchen=_one_bowl(500))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(braids=st.integers(1, 40), buns=st.integers(0, 60), most_g=st.integers(520, 6000))
def test_bowls_hold_what_is_ordered_and_no_more_than_they_can(braids: int, buns: int, most_g: int) -> None:
    """Limit: whatever is ordered and however small the bowl, no batch is over it, and no piece is lost."""
    wanted = [order("braid", braids), *([order("bun", buns, LATE)] if buns else [])]
    doughs = _of(_plan(*wanted, kitchen=_one_bowl(float(most_g))), "sweet-dough", "dough")
    assert all(batch.mass_g <= most_g + 1e-6 for batch in doughs)
    assert sum(lot.pieces for batch in doughs for lot in batch.lots) == braids + buns
