"""The demo bakery's documents hold together and fit one another."""

from __future__ import annotations

import itertools
import math

import pytest

from demo.invented_bakery import (
    FORMULAS,
    INGREDIENTS,
    INGREDIENTS_TEXT,
    KITCHEN,
    KITCHEN_TEXT,
    ORDERS,
    ORDERS_TEXT,
    PANTRY,
    PRODUCTS,
    SHOP,
    TEXTS,
    VAN,
    WHOLE,
    date_of,
    pieces_on,
)  # fmt: skip
from smallhours.bakery.document import Document
from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.audit import audit
from smallhours.bakery.formula.balance import balance
from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.formula.leaven import leaven_of
from smallhours.bakery.formula.warnings import warnings
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import DAYS, Day, Kitchen
from smallhours.bakery.orders.batches import batches
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.process import habits

# how each dough is meant, from its recipe: fat and sugar on flour in whole percent, counted by hand below
MEANT = {
    "quay-loaf": "lean", "focaccia": "lean", "milk-loaf": "enriched", "dinner-roll": "enriched", "braid": "rich",
    "burger-bun": "rich", "brioche": "very rich", "harbour-bun": "very rich",
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_a_formula_is_named_like_its_file_and_reads_back_the_same(name: str) -> None:
    """Round trip: TOML -> formula -> TOML -> the same formula, under the name of its file."""
    assert FORMULAS[name].id == name
    assert Formula.read_toml(FORMULAS[name].to_toml(), name) == FORMULAS[name]


@pytest.mark.parametrize(
    ("kind", "text"), [(Kitchen, KITCHEN_TEXT), (OrderBook, ORDERS_TEXT), (IngredientList, INGREDIENTS_TEXT)]
)
def test_the_other_documents_read_back_the_same(kind: type[Document], text: str) -> None:
    """Round trip: TOML -> document -> TOML -> the same document."""
    document = kind.read_toml(text, "demo")
    assert kind.read_toml(document.to_toml(), "demo") == document


def test_there_are_enough_products_of_every_class() -> None:
    """Hand: fat + sugar on flour: quay loaf 0, milk loaf about 8 + 7 = 15, braid 15 + 9 = 24, brioche 46 + 14 = 60.

    The classes end at 5, 20 and 50: common practice.
    """
    assert len(PRODUCTS) >= 13
    found = {name: balance(PRODUCTS[name], PANTRY) for name in PRODUCTS}
    assert {name: found[name].dough_class for name in MEANT} == MEANT
    leavened = {name for name, held in found.items() if "chemically-leavened" in held.flags}
    assert leavened == {"muffin", "scone", "tea-cake"}
    assert all((held.yeast_percent > 0) != (name in leavened | {"mooring-loaf"}) for name, held in found.items())
    culture = leaven_of(unit_amounts(PRODUCTS["mooring-loaf"], PANTRY, pieces=1), PANTRY, "dough").culture_percent
    assert culture == pytest.approx(100 * 25 / 105, abs=0.1)  # 20 of its flour and 5 in its seed, on 100 and 5


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_the_formulas_add_up_and_the_trade_sees_no_trouble(name: str) -> None:
    """Behaviour: the audit finds nothing, and no warning is due; one note: cardamom's sugar is not published."""
    assert audit(WHOLE[name], PANTRY) == []
    notes = [(finding.severity, finding.rule) for finding in warnings(WHOLE[name], PANTRY)]
    assert notes == ([("note", "composition_is_known")] if name == "harbour-bun" else [])


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_every_ingredient_is_known_and_has_a_price(name: str) -> None:
    """Behaviour: all masses can be worked out, and every ingredient stands in the price list in one currency."""
    used = unit_amounts(WHOLE[name], PANTRY, pieces=1).ingredients()
    prices = {price.ingredient: price for price in INGREDIENTS.prices}
    assert used.keys() <= prices.keys()
    assert all(key in PANTRY for key in used)
    assert {price.currency for price in prices.values()} == {"EUR"}


def test_nothing_is_priced_or_listed_that_no_formula_uses() -> None:
    """Behaviour: the shelf holds what the formulas use, nothing more."""
    used = {line.ingredient for formula in WHOLE.values() for part in formula.parts for line in part.lines}
    assert {price.ingredient for price in INGREDIENTS.prices} <= used
    assert {thing.id for thing in INGREDIENTS.ingredients} <= used


@pytest.mark.parametrize("day", DAYS)
def test_every_weekday_has_both_waves(day: Day) -> None:
    """Behaviour: something leaves with the van at 05:45 and something is ready when the shop opens at 07:30."""
    orders = ORDERS.on(date_of(day))
    assert {order.due for order in orders} == {VAN, SHOP}
    assert len({order.customer for order in orders if order.due == VAN}) == 3


def test_weekdays_differ_and_the_weekend_is_larger() -> None:
    """Behaviour: no two weekdays have the same orders; Saturday and Sunday carry more dough than any other day."""
    wanted = {day: pieces_on(day) for day in DAYS}
    assert all(wanted[a] != wanted[b] for a, b in itertools.combinations(DAYS, 2))
    dough = {day: sum(_dough_g(name) * n for name, n in wanted[day].items()) for day in DAYS}
    assert min(dough["sat"], dough["sun"]) > max(dough[d] for d in ("mon", "tue", "wed", "thu"))
    assert ORDERS.products() | {"mooring-loaf"} == PRODUCTS.keys()  # the sourdough is being tried out


def _dough_g(name: str) -> float:
    output = PRODUCTS[name].output
    assert output is not None
    assert output.piece_mass_g is not None
    return output.piece_mass_g


@pytest.mark.parametrize("day", DAYS)
def test_every_batch_fits_a_bowl_and_every_lot_the_pans(day: Day) -> None:
    """Behaviour: no batch is too small or too large for the bowls, and no product needs more pans than there are.

    A pan is filled once a night at most, but for the baskets and trays, which come back from the oven.
    """
    made = batches(ORDERS.on(date_of(day)), FORMULAS, KITCHEN, PANTRY)
    assert made.problems == ()
    assert sum(lot.pieces for batch in made.batches for lot in batch.lots) == sum(pieces_on(day).values())
    counts = {pan.id: pan.count for pan in KITCHEN.pans}
    for pan in counts.keys() - {"basket", "tray"}:
        lots = [lot for batch in made.batches for lot in batch.lots if PRODUCTS[lot.product].pan == pan]
        assert sum(lot.pans for lot in lots) <= counts[pan]
    assert all(lot.pans <= counts[PRODUCTS[lot.product].pan or ""] for b in made.batches for lot in b.lots)


@pytest.mark.parametrize("day", DAYS)
def test_the_work_of_a_night_is_less_than_its_people_and_ovens_have(day: Day) -> None:
    """Limit: hands-on minutes under 75 % of the people's hours until 07:30, oven tray minutes under 60 % from 02:00 on.

    The last bake is out at 07:00.
    A night that needs more than all of it is impossible; these shares leave room for what must wait for what.
    """
    hands_s = baked_s = 0.0
    for batch in batches(ORDERS.on(date_of(day)), FORMULAS, KITCHEN, PANTRY).batches:
        own = batch.formula.stages_of(batch.part_id)
        whole = own if batch.part_id != batch.formula.main else habits.chain_of(own).of_batch
        hands_s += sum(_hands_s(stage, sum(lot.pieces for lot in batch.lots)) for stage in whole)
        for lot in batch.lots:
            product = PRODUCTS[lot.product]
            chain = product.stages_of(product.main)[len(whole) :]
            hands_s += sum(_hands_s(stage, lot.pieces) for stage in chain)
            baked_s += sum(habits.duration_s(s, 0) * lot.tray_places for s in chain if s.kind == "bake")
    places = sum(deck.tray_places for oven in KITCHEN.ovens for deck in oven.decks)
    assert hands_s < 0.75 * _at_work_s(day)
    assert baked_s < 0.60 * places * 5 * 3600


def _hands_s(stage: Stage, pieces: int) -> float:
    match habits.attention_of(stage):
        case "throughout":
            return habits.duration_s(stage, pieces)
        case "ends":
            return sum(habits.hands_s(stage))
    return 0.0


def _at_work_s(day: Day) -> float:
    """Seconds of all people between noon of the day before and 07:30, pauses of half an hour each taken out."""
    before, total = DAYS[DAYS.index(day) - 1], 0.0
    for person in KITCHEN.people:
        for hours in person.hours:
            start, end = hours.start.hour + hours.start.minute / 60, hours.end.hour + hours.end.minute / 60
            if before in hours.days and start >= 12:
                total += min(end if end > start else end + 24, 31.5) - start - 0.5
            elif day in hours.days and start < 7.5:
                total += min(end, 7.5) - start - 0.5
    return total * 3600


def test_the_kitchen_is_the_one_of_the_demo() -> None:
    """Behaviour: two bowls, a still and a moving cold, two ovens of their own rates, three people, a cold morning."""
    spiral, planetary = KITCHEN.mixers
    assert (spiral.max_dough_g, planetary.max_dough_g) == (25_000, 8_000)
    assert sorted(cold.moving_air for cold in KITCHEN.cold) == [False, True]
    deck, convection = KITCHEN.ovens
    assert (deck.kind, convection.kind) == ("deck", "convection")
    assert deck.heat_k_per_min != convection.heat_k_per_min
    assert deck.cool_k_per_min != convection.cool_k_per_min
    assert len(KITCHEN.people) == 3
    assert all(person.hours and person.breaks for person in KITCHEN.people)
    now = KITCHEN.temperatures
    assert (now.room_c, now.flour_c, now.tap_water_c) == (17, 15, 9)
    assert min(at.temp_c for at in now.room_course) == 16


def test_nobody_works_more_than_the_week_allows() -> None:
    """Published: at most 48 h of work a week, at least one day off; Directive 2003/88/EC, articles 5 and 6."""
    for person in KITCHEN.people:
        week = 0.0
        for hours in person.hours:
            length = (hours.end.hour - hours.start.hour) % 24 + (hours.end.minute - hours.start.minute) / 60
            week += len(hours.days) * (length - 1 / 3)
        assert week <= 48
        assert len({day for hours in person.hours for day in hours.days}) <= 6


def test_the_bakery_never_asks_for_a_pan_in_parts_of_a_tray_it_cannot_place() -> None:
    """Hand: on 60 x 40 cm stand 2 tall pans of 33 x 23, 4 loaf tins of 30 x 11, or 8 small tins of 20 x 10."""
    fits = {pan.id: math.floor(1 / pan.tray_share + 1e-9) for pan in KITCHEN.pans}
    assert fits == {
        "tray": 1, "sheet-pan": 1, "tall-pan": 2, "loaf-tin": 4, "small-tin": 8, "muffin-tin": 2, "basket": 4,
    }  # fmt: skip
    for pan in KITCHEN.pans:
        assert pan.length_mm is not None
        assert pan.width_mm is not None
        assert fits[pan.id] * pan.length_mm * pan.width_mm <= 600 * 400
