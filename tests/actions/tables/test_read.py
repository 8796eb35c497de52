"""Whole tables: encodings, separators, headings, a report row by row."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from decimal import Decimal
from typing import Any

import openpyxl
import pytest

from smallhours.actions.tables.grid import MOST_ROWS
from smallhours.actions.tables.read import ReadTable, read_table
from smallhours.actions.tables.row import Names
from smallhours.actions.tables.text import MOST_BYTES, decoded
from smallhours.bakery.orders.document import Order, StandingOrder
from smallhours.errors import BadInput

NAMES = Names(
    products={"hearth loaf": "hearth-loaf", "hogaza": "hearth-loaf", "milk bun": "milk-bun"},
    ingredients={"butter": "butter", "mantequilla": "butter", "bread flour": "bread-flour"},
)
SPANISH = (
    "Cliente;Producto;Cantidad;Fecha;Hora;Días\nCafé Río;Hogaza;1.200;15/01/2026;6:30;\nBar Ñu;milk-bun;40;;7.00;L-V\n"
)


def _xlsx(*rows: tuple[Any, ...], before: tuple[Any, ...] | None = None) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    if before:
        first = book.create_sheet("Notes", 0)
        first.append(before)
    for row in rows:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _orders(table: ReadTable) -> tuple[Any, ...]:
    book = table.order_book()
    return (*book.single, *book.standing)


EXPECTED = (
    Order(customer="Café Río", product="hearth-loaf", date=dt.date(2026, 1, 15), due=dt.time(6, 30), pieces=1200),
    StandingOrder(
        customer="Bar Ñu", product="milk-bun", days=("mon", "tue", "wed", "thu", "fri"), due=dt.time(7), pieces=40
    ),
)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"])
def test_the_same_orders_in_seven_encodings(encoding: str) -> None:
    """Round trip: a Spanish table encoded seven ways reads back to the same two orders."""
    table = read_table(SPANISH.encode(encoding), "pedidos.csv", NAMES)
    assert not table.bad_rows
    assert _orders(table) == EXPECTED


@pytest.mark.parametrize(
    ("data", "name", "certain"),
    [
        ("ñ".encode(), "UTF-8", True),
        ("ñ".encode("utf-16"), "UTF-16", True),
        (b"\xf1", "Windows-1252", False),
        (b"\x81", "Latin-1", False),
        ("a;b;c;d;e".encode("utf-16-le"), "UTF-16", False),
    ],
)
def test_what_was_assumed_is_said(data: bytes, name: str, certain: bool) -> None:
    """Hand: bytes F1 are no UTF-8 and n-tilde in Windows-1252; 81 is not assigned there (the Unicode mapping table)."""
    found = decoded(data, "x.csv")
    assert (found.encoding, found.certain) == (name, certain)


def test_the_notes_say_encoding_separator_and_dates() -> None:
    """Behaviour: a guessed encoding, the separator and the order of day and month are in the report."""
    notes = " / ".join(read_table(SPANISH.encode("cp1252"), "x.csv", NAMES).notes)
    assert "Windows-1252 (assumed" in notes
    assert "semicolon" in notes
    assert "day/month/year" in notes


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_separators(separator: str) -> None:
    """Round trip: the same table with four separators."""
    text = "\n".join(
        separator.join(row)
        for row in (
            ("customer", "product", "pieces", "date", "due"),
            ("Shop", "hearth-loaf", "6", "2026-01-15", "06:30"),
        )
    )
    (order,) = _orders(read_table(text.encode(), "x.csv", NAMES))
    assert (order.customer, order.pieces) == ("Shop", 6)


def test_a_workbook_reads_like_the_text() -> None:
    """Round trip: dates, times and counts as a spreadsheet keeps them; the sheet with the headings is found."""
    data = _xlsx(
        ("Cliente", "Producto", "Cantidad", "Fecha", "Hora", "Días"),
        ("Café Río", "Hogaza", 1200, dt.datetime(2026, 1, 15), dt.time(6, 30), None),
        (None, None, None, None, None, None),
        ("Bar Ñu", "milk-bun", 40.0, None, "7.00", "L-V"),
        before=("Orders of this week",),
    )
    table = read_table(data, "pedidos.xlsx", NAMES)
    assert _orders(table) == EXPECTED
    assert [row.number for row in table.rows] == [2, 4]


def test_headings_below_a_title_and_unknown_columns() -> None:
    """Behaviour: lines above the headings are left out, columns nobody knows are named, both said."""
    text = (
        "Orders for Thursday,,,,,\n,,,,,\n"
        "Client,Item,Qty,Delivery date,Time,Shelf\nShop,Hearth Loaf,6,2026-01-15,6:30,B\n"
    )
    table = read_table(text.encode(), "x.csv", NAMES)
    assert table.ignored == ("Shelf",)
    assert table.columns == {
        "Client": "customer", "Item": "product", "Qty": "pieces", "Delivery date": "date", "Time": "due",
    }  # fmt: skip
    assert any("line 3" in note for note in table.notes)
    assert table.rows[0].number == 4


def test_every_bad_row_says_what_is_wrong_and_what_would_be_right() -> None:
    """Bad input: seven kinds of bad rows and one good; each has its line and one sentence, the good one is read."""
    rows = [
        "customer,product,pieces,date,days,due",
        "Shop,hearth-loaf,6,2026-01-15,,06:30",
        ",hearth-loaf,6,2026-01-15,,06:30",
        "Shop,hearth-lof,6,2026-01-15,,06:30",
        "Shop,hearth-loaf,-6,2026-01-15,,06:30",
        "Shop,hearth-loaf,2.5,2026-01-15,,06:30",
        "Shop,hearth-loaf,6,2026-02-30,,06:30",
        "Shop,hearth-loaf,6,2026-01-15,mon,06:30",
        "Shop,hearth-loaf,6,,,06:30",
        "Shop,hearth-loaf,1000000,2026-01-15,,06:30",
    ]
    table = read_table("\n".join(rows).encode(), "x.csv", NAMES)
    assert len(_orders(table)) == 1
    said = {row.number: row.problem for row in table.bad_rows}
    assert list(said) == [3, 4, 5, 6, 7, 8, 9, 10]
    for number, words in zip(
        said,
        ["customer is empty", "did you mean 'hearth-loaf'", "greater than", "whole number", "not a date", "both",
         "neither", "less than"],
        strict=True,
    ):  # fmt: skip
        assert words in str(said[number])


def test_a_price_list() -> None:
    """Hand: 18,90 for 25 kg; 9,20 per kg is a pack of 1000 g; 50 lb are 22 679.6 g; the sign names the currency."""
    text = (
        "Ingrediente;Envase;Precio;Precio/kg;Moneda;Proveedor;Desde\n"
        "bread flour;25 kg;18,90;;EUR;Molino;01/01/2026\n"
        "Mantequilla;;;9,20 €;;;\n"
        "butter;50 lb;$ 120.00;;;;\n"
    )
    table = read_table(text.encode(), "precios.csv", NAMES)
    assert table.kind == "prices"
    good = read_table(text.replace("$ 120.00", "$ 120,00").encode(), "precios.csv", NAMES)
    assert not good.bad_rows
    flour, butter, other = good.ingredient_list().prices
    assert (flour.pack_mass_g, flour.price, flour.currency) == (25000.0, Decimal("18.90"), "EUR")
    assert (flour.supplier, flour.valid_from) == ("Molino", dt.date(2026, 1, 1))
    assert (butter.ingredient, butter.pack_mass_g, butter.price) == ("butter", 1000.0, Decimal("9.20"))
    assert (other.currency, round(other.pack_mass_g, 1)) == ("USD", 22679.6)


def test_a_price_without_currency_or_pack_is_refused() -> None:
    """Bad input: nobody says which money, or how much of it is in the pack."""
    text = "ingredient,pack,price,currency\nbutter,10 kg,80.50,\nbutter,,80.50,EUR\nbutter,10,80.50,EUR\n"
    problems = [row.problem for row in read_table(text.encode(), "x.csv", NAMES).rows]
    for said, words in zip(problems, ["no currency", "pack's mass is empty", "with its unit"], strict=True):
        assert words in str(said)


def test_an_ingredient_list() -> None:
    """Hand: a specification sheet's row; what it does not say stays unset; allergens are split."""
    text = (
        "Nombre;Como;Agua;Proteínas;Grasas;Absorción;Alérgenos\n"
        "Harina del molino;bread flour;14,2;12,1;1,3;1,5;trigo, gluten\n"
        "Crema rara;;60;;50;;\n"
    )
    table = read_table(text.encode(), "x.csv", NAMES)
    (flour,) = table.ingredient_list().ingredients
    assert (flour.id, flour.name, flour.like) == ("harina-del-molino", "Harina del molino", "bread-flour")
    assert flour.composition is not None
    assert (flour.composition.water_g, flour.composition.ash_g) == (14.2, None)
    assert flour.allergens == ("trigo", "gluten")
    assert table.rows[0].values["composition"] == "water 14.2 g, protein 12.1 g, fat 1.3 g (in 100 g)"
    assert table.ignored == ("Absorción",)
    assert "110.0 g per 100 g" in str(table.bad_rows[0].problem)


def test_tables_that_cannot_be_read_at_all() -> None:
    """Bad input: no headings, half the headings, an old workbook, a broken one, a picture, too much of everything."""
    zipped = io.BytesIO()
    with zipfile.ZipFile(zipped, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b" " * 70_000_000)
    for data, words in (
        (b"", "no headings"),
        (b"a,b\n1,2\n", "no headings"),
        (b"customer,product,pieces\nShop,hearth-loaf,6\n", "no heading for due"),
        (b"\xd0\xcf\x11\xe0" + b"\x00" * 100, "old XLS"),
        (b"PK\x03\x04broken", "cannot be read as an XLSX"),
        (b"\x89PNG\x00\x00", "not a text file"),
        (b"x" * (MOST_BYTES + 1), "too large"),
        (b"customer\n" + b"a\n" * (MOST_ROWS + 1), "more than"),
        (("a," * 70 + "b\n").encode() * 2, "columns"),
        (zipped.getvalue(), "unpacks to far more"),
    ):
        with pytest.raises(BadInput, match=words):
            read_table(data, "file", NAMES)


def test_what_an_order_has_to_be_free_from() -> None:
    """Behaviour: a column of allergens, parted by commas, in either language; an empty cell says nothing."""
    rows = (
        "Cliente;Producto;Cantidad;Fecha;Hora;Sin",
        "Cole;Hogaza;9;15/01/2026;6:30;nuts, Sesame",
        "Bar;Hogaza;2;15/01/2026;7:00;",
    )
    text = "\n".join(rows)
    found = _orders(read_table(text.encode(), "pedidos.csv", NAMES))
    assert [order.free_from for order in found] == [("nuts", "sesame"), ()]
