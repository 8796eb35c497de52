"""Saves: revisions, the log, faults that refuse and findings that do not."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from pathlib import Path

import pytest

from smallhours.actions.permissions import BAKER, Actor, may
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.save_ingredients import SaveIngredients, save_ingredients
from smallhours.actions.save_kitchen import SaveKitchen, save_kitchen
from smallhours.actions.save_orders import SaveOrders, save_orders
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.orders.document import OrderBook
from smallhours.errors import DocumentError, NotAllowed, NotFound
from smallhours.records import queries

AT = dt.datetime(2026, 1, 15, 2, 30, tzinfo=dt.UTC)


def _loaf(**changes: object) -> Formula:
    return queries.kept_formula("hearth-loaf").document.model_copy(update=changes)


def _with_line(formula: Formula, **changes: object) -> Formula:
    part = formula.parts[0]
    lines = (part.lines[0], part.lines[1].model_copy(update=changes), *part.lines[2:])
    return formula.model_copy(update={"parts": (part.model_copy(update={"lines": lines}),)})


def test_an_edit_makes_a_new_revision_and_the_old_one_stays(bakery: Path) -> None:
    """Behaviour: number, author, time and reason are kept; the first revision still reads as it was."""
    first = queries.kept_formula("hearth-loaf").document
    saved = save_formula(SaveFormula(_with_line(first, percent=67), "the new flour drinks more"), clock=lambda: AT)
    assert (saved.before, saved.number, saved.changed) == (1, 2, True)
    kept = queries.kept_formula("hearth-loaf")
    assert (kept.number, kept.author, kept.at, kept.reason) == (2, "baker", AT, "the new flour drinks more")
    assert kept.document.parts[0].lines[1].percent == 67
    assert queries.kept_formula("hearth-loaf", 1).document == first
    assert [one.number for one in queries.formula_history("hearth-loaf")] == [2, 1]
    line = queries.log_lines(1)[0]
    assert (line.verb, line.kind, line.slug, line.before, line.after) == ("save", "formula", "hearth-loaf", 1, 2)


def test_saving_what_is_there_already_writes_nothing(bakery: Path) -> None:
    """Behaviour: no revision and no line of the log for a document that says nothing new."""
    before = len(queries.log_lines())
    saved = save_formula(SaveFormula(_loaf()))
    assert (saved.number, saved.changed) == (1, False)
    assert len(queries.log_lines()) == before


def test_structural_faults_refuse_and_leave_everything_as_it_was(bakery: Path) -> None:
    """Bad input: an unknown ingredient (with the nearest names), a base that is not there, a base others rest on."""
    bad = _with_line(_loaf(), ingredient="watre")
    with pytest.raises(DocumentError, match="did you mean 'water'"):
        save_formula(SaveFormula(bad))
    with pytest.raises(DocumentError, match="no formula 'hearth-lof'; did you mean 'hearth-loaf'"):
        save_formula(SaveFormula(_loaf(id="bun", base="hearth-lof")))
    with pytest.raises(DocumentError, match="formula 'hearth-roll', which rests on this one"):
        save_formula(SaveFormula(_loaf(base="hearth-roll")))
    assert queries.formula_slugs() == ["hearth-loaf", "hearth-roll"]
    assert queries.kept_formula("hearth-loaf").number == 1


def test_findings_are_said_and_logged_but_do_not_refuse(bakery: Path) -> None:
    """Behaviour: 9 % salt on flour is trouble to any baker (common practice: about 1.8 to 2.2 %), yet it is saved."""
    loaf = _loaf()
    part = loaf.parts[0]
    lines = tuple(
        line.model_copy(update={"percent": 9.0}) if line.ingredient == "salt" else line for line in part.lines
    )
    salty = loaf.model_copy(update={"parts": (part.model_copy(update={"lines": lines}),)})
    saved = save_formula(SaveFormula(salty))
    assert saved.number == 2
    assert any("salt" in finding.sentence.lower() for finding in saved.findings)
    logged = queries.log_lines(1)[0].details["findings"]
    assert [entry[0] for entry in logged] == [finding.rule for finding in saved.findings]


def test_the_kitchen_written_last_is_the_one_plans_are_made_for(bakery: Path) -> None:
    """Behaviour: of two kitchens the newest counts; saving the former again brings it back, as a new revision."""
    first = queries.kept_kitchen().document
    second = first.model_copy(update={"id": "summer-kitchen", "pans": ()})
    saved = save_kitchen(SaveKitchen(second))
    assert queries.kept_kitchen().document.id == "summer-kitchen"
    assert {finding.rule for finding in saved.findings} == {"kitchen_has_the_pans"}
    save_kitchen(SaveKitchen(first))
    kept = queries.kept_kitchen()
    assert (kept.document, kept.number) == (first, 2)


def test_orders_are_added_or_replaced(bakery: Path) -> None:
    """Behaviour: an added order takes the place of one with the same customer, product, day and due time."""
    more = OrderBook.read(
        {"single": [
            {"customer": "Café Río", "product": "hearth-loaf", "date": "2026-01-15", "due": "07:30", "pieces": 9},
            {"customer": "Café Río", "product": "hearth-roll", "date": "2026-01-15", "due": "07:30", "pieces": 30},
        ], "standing": [{"customer": "Shop", "product": "hearth-loaf", "due": "07:30", "pieces": 20}],
         "closed": ["2026-12-25"]},
        "more",
    )  # fmt: skip
    assert save_orders(SaveOrders(more)).changed
    assert not save_orders(SaveOrders(more)).changed
    day = queries.order_book().on(dt.date(2026, 1, 15))
    assert [(o.customer, o.product, o.pieces) for o in day] == [
        ("Van", "hearth-roll", 80), ("Café Río", "hearth-loaf", 9), ("Café Río", "hearth-roll", 30),
        ("Shop", "hearth-loaf", 20),
    ]  # fmt: skip
    assert queries.order_book().on(dt.date(2026, 12, 25)) == ()
    save_orders(SaveOrders(more, "replace"))
    assert queries.order_book() == more


def test_orders_for_what_nobody_can_bake_are_refused(bakery: Path) -> None:
    """Bad input: a product without a formula names the customer and near products."""
    book = OrderBook.read(
        {"standing": [{"customer": "Shop", "product": "hearth-rol", "due": "07:30", "pieces": 2}]}, "x"
    )
    with pytest.raises(DocumentError, match=r"order of 'Shop'.*did you mean 'hearth-roll'"):
        save_orders(SaveOrders(book))


def test_prices_are_kept_by_ingredient_supplier_day_and_pack(bakery: Path) -> None:
    """Behaviour: a corrected price takes the former's place, a later one stands beside it."""
    price = {"ingredient": "mill-white", "pack_mass_g": 25000, "price": "19.50", "currency": "EUR"}
    later = price | {"price": "20.10", "valid_from": "2026-03-01"}
    save_ingredients(SaveIngredients(IngredientList.read({"prices": [price, later]}, "x")))
    assert [p.price for p in queries.ingredient_list().prices] == [Decimal("19.50"), Decimal("20.10")]
    with pytest.raises(DocumentError, match="no ingredient 'gold'"):
        save_ingredients(SaveIngredients(IngredientList.read({"prices": [price | {"ingredient": "gold"}]}, "x")))
    loop = {"ingredients": [{"id": "a", "like": "b"}, {"id": "b", "like": "a"}]}
    with pytest.raises(DocumentError, match="rests on itself"):
        save_ingredients(SaveIngredients(IngredientList.read(loop, "x")))


def test_who_may_do_what(bakery: Path) -> None:
    """Behaviour: the head baker saves; the baker plans but does not save; the reader looks."""
    baker, visitor = Actor("Ada", "baker"), Actor("Vera", "reader")
    assert may(BAKER, "save formula")
    assert may(baker, "plan")
    assert not may(visitor, "plan")
    with pytest.raises(NotAllowed, match=r"Ada \(baker\) may not save formula; ask the head-baker"):
        save_formula(SaveFormula(_loaf()), baker)
    assert may(visitor, "look")


def test_asking_for_what_is_not_there(bakery: Path) -> None:
    """Bad input: an unknown formula, revision, kitchen or plan says what there is."""
    for ask, words in (
        (lambda: queries.kept_formula("harth-loaf"), "did you mean 'hearth-loaf'"),
        (lambda: queries.kept_formula("hearth-loaf", 7), "revision 7"),
        (lambda: queries.kept_kitchen("moon"), "no kitchen 'moon'"),
        (lambda: queries.kept_plan(dt.date(2026, 1, 15)), "no plan for the night to 2026-01-15"),
    ):
        with pytest.raises(NotFound, match=words):
            ask()
