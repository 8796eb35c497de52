"""Documents to rows and back; many writers at once."""

from __future__ import annotations

import datetime as dt
import threading
from decimal import Decimal
from importlib.resources import files
from pathlib import Path

import pytest

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.records import keeping, queries

DEMO = files("smallhours") / "demo"
SIGNATURE = keeping.Signature("baker", dt.datetime(2026, 1, 15, 3, 0, tzinfo=dt.UTC), "a reason")


def _demo_formulas() -> list[Formula]:
    folder = DEMO / "formulas"
    return [Formula.read_toml(file.read_text("utf-8"), file.name) for file in folder.iterdir() if file.is_file()]


def test_every_formula_of_the_demo_comes_back_as_it_was(home: Path) -> None:
    """Round trip: each document through its row is equal to itself, with author, time and reason."""
    formulas = {formula.id: formula for formula in _demo_formulas()}
    for formula in formulas.values():
        assert keeping.keep(formula, SIGNATURE) == keeping.Revised(formula.id, None, 1)
    kept = queries.kept_formulas()
    assert {slug: one.document for slug, one in kept.items()} == formulas
    assert {(one.number, one.author, one.at, one.reason) for one in kept.values()} == {
        (1, "baker", SIGNATURE.at, "a reason")
    }


def test_kitchen_orders_and_ingredients_of_the_demo_come_back_as_they_were(home: Path) -> None:
    """Round trip: each document through its rows is equal to itself."""
    kitchen = Kitchen.read_toml((DEMO / "kitchen.toml").read_text("utf-8"), "kitchen")
    book = OrderBook.read_toml((DEMO / "orders.toml").read_text("utf-8"), "orders")
    shelf = IngredientList.read_toml((DEMO / "ingredients.toml").read_text("utf-8"), "ingredients")
    keeping.keep(kitchen, SIGNATURE)
    keeping.keep_orders(book, "replace")
    for ingredient in shelf.ingredients:
        keeping.keep(ingredient, SIGNATURE)
    assert keeping.add_prices(shelf.prices) == len(shelf.prices)
    assert keeping.add_prices(shelf.prices) == 0
    assert queries.kept_kitchen().document == kitchen
    kept = queries.order_book()
    assert (kept.standing, kept.single, set(kept.closed)) == (book.standing, book.single, set(book.closed))
    found = queries.ingredient_list()
    assert sorted(found.ingredients, key=lambda one: one.id) == sorted(shelf.ingredients, key=lambda one: one.id)
    assert sorted(map(repr, found.prices)) == sorted(repr(price.model_copy(update={
        "price": price.price.quantize(Decimal("0.0001"))})) for price in shelf.prices)  # fmt: skip


def test_orders_that_look_alike_in_one_book_are_all_kept(home: Path) -> None:
    """Hand: two single orders of 3 and 4 of the same customer, product and time are 7 that day, also added again."""
    order = Order(customer="Kiosk", product="roll", date=dt.date(2026, 1, 15), due=dt.time(7), pieces=3)
    book = OrderBook(single=(order, order.model_copy(update={"pieces": 4})))
    for _ in range(2):
        keeping.keep_orders(book, "add")
        assert [one.pieces for one in queries.order_book().on(order.date)] == [7]


def test_standing_orders_on_other_days_stand_beside_one_another(home: Path) -> None:
    """Behaviour: weekdays are part of what makes a standing order the same one; their order in the list is not."""
    week = StandingOrder(customer="Kiosk", product="roll", days=("mon", "tue"), due=dt.time(7), pieces=3)
    keeping.keep_orders(OrderBook(standing=(week,)), "add")
    sunday = week.model_copy(update={"days": ("sun",)})
    again = week.model_copy(update={"days": ("tue", "mon"), "pieces": 5})
    keeping.keep_orders(OrderBook(standing=(sunday, again)), "add")
    assert sorted(one.pieces for one in queries.order_book().standing) == [3, 5]


def test_many_writers_at_once(home: Path) -> None:
    """Behaviour: six threads write eight lines each, every write waits its turn, none is lost or refused."""
    from django.db import connection, transaction

    faults: list[Exception] = []

    def write(name: str) -> None:
        try:
            for number in range(8):
                with transaction.atomic():
                    before = len(queries.log_lines(1000))
                    keeping.write_log(keeping.Done("save", "formula", f"{name}-{number}", before), SIGNATURE)
        except Exception as error:  # shown by the assertion below
            faults.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=write, args=(f"t{n}",)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert faults == []
    assert sorted(line.before or 0 for line in queries.log_lines(1000)) == list(range(48))


@pytest.mark.parametrize("field", ["author", "reason"])
def test_a_row_that_no_longer_reads_says_which_it_is(home: Path, field: str) -> None:
    """Bad input: a body that another version wrote names formula, revision and what is wrong."""
    from smallhours.errors import DocumentError
    from smallhours.records.models import FormulaRevision

    body = {"id": "x", "name": "X", field: "not of this document"}
    FormulaRevision.objects.create(slug="x", number=3, body=body, author="baker", at=SIGNATURE.at)
    with pytest.raises(DocumentError, match=f"formula 'x', revision 3: {field}: is not a field"):
        queries.kept_formula("x")
