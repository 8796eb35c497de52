"""Orders on a page: typed, changed by two at a time, closed days, a table pasted or sent in."""

from __future__ import annotations

import datetime as dt
import io
import json
import re
import zipfile
from html import unescape
from pathlib import Path

import openpyxl
import pytest
from django.test import Client

from smallhours.actions.change_orders import ChangeOrders, DayChange, change_orders
from smallhours.actions.permissions import Actor
from smallhours.bakery.orders.lines import OrderKey
from smallhours.records import queries

THURSDAY = dt.date(2026, 1, 15)
DAY = "/orders/?date=2026-01-15"
LOAF = OrderKey(dt.time(7, 30), "Shop", "hearth-loaf")


@pytest.fixture
def browser(bakery: Path) -> Client:
    """A browser on this machine."""
    return Client(headers={"host": "localhost"}, raise_request_exception=False)


def fields(html: str) -> dict[str, str]:
    """The fields of the order form with their values, as a browser would send them."""
    form = html.partition('class="orders"')[2].partition("</form>")[0]
    found = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name, value = re.search(r'\bname="([^"]*)"', tag), re.search(r'\bvalue="([^"]*)"', tag)
        if name and ('type="checkbox"' not in tag or " checked" in tag):
            found[name[1]] = unescape(value[1]) if value else ("on" if "checkbox" in tag else "")
    for name, inside in re.findall(r'<select[^>]*name="([^"]*)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', inside)
        found[name] = chosen[1] if chosen else ""
    return found


def line_of(found: dict[str, str], customer: str, product: str) -> str:
    """The prefix of a line's fields; the first empty line for nobody."""
    return next(
        name.removesuffix("-customer")
        for name, value in found.items()
        if name.endswith("-customer") and value == customer
        and found[name.replace("-customer", "-product")] == product
    )  # fmt: skip


def pieces(date: dt.date = THURSDAY) -> dict[tuple[str, str, str], int]:
    return {(o.customer, o.product, f"{o.due:%H:%M}"): o.pieces for o in queries.order_book().on(date)}


def test_a_day_shows_waves_and_what_changed(browser: Client) -> None:
    """Hand: on Thursday 80 rolls at 06:30, 24 + 6 loaves at 07:30; the 6 for the café were not there a week before."""
    html = browser.get(DAY).content.decode()
    assert re.search(r"06:30</p><p><strong>80 pieces</strong></p><ul><li>80 × Hearth roll", html)
    assert re.search(r"07:30</p><p><strong>30 pieces</strong></p><ul><li>30 × Hearth loaf", html)
    changes = html.partition('id="changes"')[2]
    assert re.findall(r'<td class="num">(\d+)</td>', changes) == ["0", "6"]
    assert "<strong>+6</strong>" in changes
    assert "Café Río" in changes


def test_numbers_typed_on_a_day(browser: Client) -> None:
    """Behaviour: a number changed, an order added, one called off; the page says how many, the log who and why."""
    found = fields(browser.get(DAY).content.decode())
    shop, van, new = (line_of(found, *who) for who in (("Shop", "hearth-loaf"), ("Van", "hearth-roll"), ("", "")))
    found |= {f"{shop}-c0": "30", f"{van}-c0": "", "reason": "market day"}
    found |= {f"{new}-customer": "  Peña   Norte ", f"{new}-product": "hearth-roll", f"{new}-due": "9.15"}
    found |= {f"{new}-c0": "1,250"}
    answer = browser.post(DAY, found)
    assert answer.status_code == 302
    assert "Numbers changed: 3." in browser.get(answer.headers["Location"]).content.decode()
    assert pieces() == {
        ("Shop", "hearth-loaf", "07:30"): 30,
        ("Café Río", "hearth-loaf", "07:30"): 6,
        ("Peña Norte", "hearth-roll", "09:15"): 1250,
    }
    assert pieces(THURSDAY + dt.timedelta(days=7))["Van", "hearth-roll", "06:30"] == 80
    line = queries.log_lines(1)[0]
    assert (line.author, line.verb, line.reason) == ("baker", "change orders", "market day")


def test_a_week_typed_at_once(browser: Client) -> None:
    """Behaviour: numbers on two days of a week and a closed Sunday; another time moves the order on all days."""
    page = "/orders/week/?date=2026-01-15"
    found = fields(browser.get(page).content.decode())
    shop, cafe = line_of(found, "Shop", "hearth-loaf"), line_of(found, "Café Río", "hearth-loaf")
    assert [found[f"{cafe}-c{n}"] for n in range(7)] == ["", "", "", "6", "", "", ""]
    found |= {f"{shop}-c4": "40", f"{shop}-c5": "50", f"{cafe}-due": "08:00", "closed-2026-01-18": "on"}
    assert browser.post(page, found).status_code == 302
    book = queries.order_book()
    assert book.closed == (dt.date(2026, 1, 18),)
    shop_days = [pieces(dt.date(2026, 1, 12 + n)).get(("Shop", "hearth-loaf", "07:30")) for n in range(7)]
    assert shop_days == [24, 24, 24, 24, 40, 50, None]
    assert pieces()["Café Río", "hearth-loaf", "08:00"] == 6
    assert ("Café Río", "hearth-loaf", "07:30") not in pieces()
    found = fields(browser.get(page).content.decode())
    assert found.pop("closed-2026-01-18") == "on"
    browser.post(page, found)
    assert queries.order_book().closed == ()


def test_standing_orders_typed_by_weekday(browser: Client) -> None:
    """Behaviour: other numbers on weekdays, a wish to be free from nuts, a new standing order."""
    page = "/orders/standing/"
    found = fields(browser.get(page).content.decode())
    van, new = line_of(found, "Van", "hearth-roll"), line_of(found, "", "")
    assert [found[f"{van}-c{n}"] for n in range(7)] == ["80"] * 5 + ["", ""]
    found |= {f"{van}-c0": "60", f"{van}-c5": "90", f"{van}-free": "Nuts, sesame"}
    found |= {f"{new}-customer": "Club", f"{new}-product": "hearth-loaf", f"{new}-due": "07:30", f"{new}-c6": "12"}
    assert browser.post(page, found).status_code == 302
    orders = {(o.customer, o.pieces): (o.days, o.free_from) for o in queries.order_book().standing}
    assert orders["Van", 60] == (("mon",), ("nuts", "sesame"))
    assert orders["Van", 90] == (("sat",), ("nuts", "sesame"))
    assert orders["Club", 12] == (("sun",), ())


def test_two_type_at_the_same_time(browser: Client) -> None:
    """Behaviour: both opened the page at 24; Ana saves 30. The other's 36 gets 409, is kept in its field with what Ana
    wrote beside it, and wins when it is saved again. Ana's other change is not touched."""
    found = fields(browser.get(DAY).content.decode())
    shop = line_of(found, "Shop", "hearth-loaf")
    cafe = LOAF._replace(customer="Café Río")
    ana = Actor("Ana", "office")
    change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, 30), DayChange(cafe, THURSDAY, 6, 9))), ana)
    answer = browser.post(DAY, found | {f"{shop}-c0": "36"})
    html = answer.content.decode()
    assert answer.status_code == 409
    assert "Ana has changed this to 30" in html
    again = fields(html)
    assert again[f"{shop}-c0"] == "36"
    assert pieces()["Shop", "hearth-loaf", "07:30"] == 30
    assert browser.post(DAY, again).status_code == 302
    assert pieces()["Shop", "hearth-loaf", "07:30"] == 36
    assert pieces()["Café Río", "hearth-loaf", "07:30"] == 9


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("c0", "2,5", "whole number of pieces from 0 to 999999"),
        ("c0", "-3", "whole number of pieces"),
        ("c0", "1000000", "whole number of pieces"),
        ("c0", "9" * 5000, "whole number of pieces"),
        ("c0", "1e5", "whole number of pieces"),
        ("c0", "<script>alert(1)</script>", "whole number of pieces"),
        ("due", "25:00", "time of day like 06:30"),
        ("due", "", "This is empty"),
        ("customer", "", "This is empty"),
        ("customer", "a\u0000b", "U+0000"),
        ("customer", "\u202eevil", "U+202E"),
        ("customer", "x" * 501, "At most 500"),
        ("product", "no-such", "no-such to choose here"),
        ("product", "", "Choose one from the list"),
        ("free", "جوز", "allergens parted by commas"),
    ],
)
def test_what_cannot_be_used_is_kept_with_a_sentence(browser: Client, field: str, typed: str, sentence: str) -> None:
    """Bad input: status 422, nothing saved, one sentence tied to the field, the text still in it."""
    before = queries.order_book()
    found = fields(browser.get(DAY).content.decode())
    new = line_of(found, "", "")
    found |= {f"{new}-customer": "Club", f"{new}-product": "hearth-loaf", f"{new}-due": "07:30", f"{new}-c0": "12"}
    found[f"{new}-{field}"] = typed
    answer = browser.post(DAY, found)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert html.count('class="fault" id="') == 1
    assert sentence in unescape(html)
    assert re.search(rf'id="{new}-{field}"[^>]*aria-describedby="{new}-{field}-fault"', html)
    assert fields(html)[f"{new}-{field}"] == typed.replace("\u0000", "\ufffd" if "\ufffd" in html else "\u0000")
    assert "<script>alert" not in html
    assert queries.order_book() == before


@pytest.mark.parametrize("name", ["قهوة الميناء", "Bäckerei 🥐", "O'Brien & <b>Sons</b>", "ليلى 👩‍🍳"])
def test_names_of_all_kinds(browser: Client, name: str) -> None:
    """Behaviour: right-to-left text, emoji (also joined ones) and signs of markup are names like others."""
    found = fields(browser.get(DAY).content.decode())
    new = line_of(found, "", "")
    found |= {f"{new}-customer": name, f"{new}-product": "hearth-loaf", f"{new}-due": "07:30", f"{new}-c0": "12"}
    assert browser.post(DAY, found).status_code == 302
    html = browser.get(DAY).content.decode()
    assert name in fields(html).values()
    assert "<b>Sons" not in html


def test_an_hour_the_clocks_jump_over(browser: Client) -> None:
    """Published: IANA time zone database: in Madrid 02:30 is not there on 29 March 2026; on other days it is."""
    for date, status in (("2026-03-29", 422), ("2026-03-28", 302)):
        page = f"/orders/?date={date}"
        found = fields(browser.get(page).content.decode())
        new = line_of(found, "", "")
        found |= {f"{new}-customer": "Club", f"{new}-product": "hearth-loaf", f"{new}-due": "02:30", f"{new}-c0": "12"}
        answer = browser.post(page, found)
        assert answer.status_code == status
        assert ("02:30 is not there on Sunday 29 March 2026: the clocks go from 02:00 to 03:00"
                in answer.content.decode()) == (status == 422)  # fmt: skip


def test_two_lines_for_one_order(browser: Client) -> None:
    """Bad input: the same customer, product and time in a second line is said beside it."""
    found = fields(browser.get(DAY).content.decode())
    new = line_of(found, "", "")
    found |= {f"{new}-customer": "Shop", f"{new}-product": "hearth-loaf", f"{new}-due": "07:30", f"{new}-c0": "12"}
    answer = browser.post(DAY, found)
    assert answer.status_code == 422
    assert "stands in another line too" in answer.content.decode()


@pytest.mark.parametrize("change", [{"lines": "x"}, {"lines": "9999999"}, {"l0-was": "[1]"}, {"l0-was": "null"}, {}])
def test_forms_that_no_page_made(browser: Client, change: dict[str, str]) -> None:
    """Bad input: status 400, nothing saved."""
    found = fields(browser.get(DAY).content.decode()) | change if change else {}
    assert browser.post(DAY, found).status_code == 400


def test_more_lines_keep_what_is_typed(browser: Client) -> None:
    """Behaviour: the button adds five empty lines, saves nothing, keeps the typed number."""
    found = fields(browser.get(DAY).content.decode())
    shop = line_of(found, "Shop", "hearth-loaf")
    again = fields(browser.post(DAY, found | {f"{shop}-c0": "77", "more": "1"}).content.decode())
    assert int(again["lines"]) == int(found["lines"]) + 5
    assert again[f"{shop}-c0"] == "77"
    assert pieces()["Shop", "hearth-loaf", "07:30"] == 24


def test_days_off(browser: Client) -> None:
    """Behaviour: from a day to a day, listed, opened again one by one; an end before its start is said and kept."""
    answer = browser.post("/orders/days-off/", {"first": "24/12/2099", "last": "2099-12-26"})
    assert answer.status_code == 302
    assert "Saturday 26 December 2099" in browser.get(answer.headers["Location"]).content.decode()
    browser.post("/orders/days-off/", {"open": "2099-12-25"})
    assert queries.order_book().closed == (dt.date(2099, 12, 24), dt.date(2099, 12, 26))
    for last in ("2099-12-20", "2150-01-01", "soon"):
        bad = browser.post("/orders/days-off/", {"first": "2099-12-24", "last": last})
        assert bad.status_code == 422
        assert f'value="{last}" aria-invalid="true"' in bad.content.decode()


@pytest.mark.parametrize("asked", ["0001-01-01", "9999-12-31", "2026-02-30", "soon", "%00"])
@pytest.mark.parametrize("page", ["/orders/", "/orders/week/"])
def test_days_that_are_none(browser: Client, page: str, asked: str) -> None:
    """Bad input: status 422 with how a day is written."""
    answer = browser.get(f"{page}?date={asked}")
    assert answer.status_code == 422
    assert "must be written like 2026-01-15" in answer.content.decode()


def test_who_may_only_read(browser: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: who may not change orders sees them without a button; what is posted all the same is refused."""
    from smallhours.web import signing

    monkeypatch.setattr(signing, "BAKER", Actor("Rita", "reader"))
    html = browser.get(DAY).content.decode()
    assert "<fieldset" in html
    assert 'class="bare" disabled' in html
    assert browser.post(DAY, fields(html)).status_code == 403


TABLE = "Customer\tProduct\tPieces\tDue\tDate\nShop\tHearth loaf\t33\t7:30\t15/1/2026\nClub\thearth roll\t40\t06:30\t"


def test_a_table_pasted(browser: Client) -> None:
    """Behaviour: row by row what was understood; the row without a day is bad; nothing is saved until the good row is
    confirmed."""
    html = browser.post("/orders/table/", {"pasted": TABLE}).content.decode()
    assert "1 rows can be used, 1 cannot" in html
    assert "has neither a date nor weekdays" in html
    assert pieces()["Shop", "hearth-loaf", "07:30"] == 24
    orders = re.search(r'name="orders" value="([^"]*)"', html)
    assert orders is not None
    assert browser.post("/orders/table/confirm/", {"orders": unescape(orders[1])}).status_code == 302
    assert pieces()["Shop", "hearth-loaf", "07:30"] == 33
    assert ("Club", "hearth-roll", "06:30") not in pieces()
    assert "instead of 33" not in html
    again = browser.post("/orders/table/", {"pasted": TABLE.replace("33", "34")}).content.decode()
    assert "instead of 33" in again


def _workbook(rows: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _send(browser: Client, name: str, data: bytes) -> tuple[int, str]:
    file = io.BytesIO(data)
    file.name = name
    answer = browser.post("/orders/table/", {"file": file, "pasted": "typed before"})
    return answer.status_code, answer.content.decode()


def test_a_workbook_sent_in(browser: Client) -> None:
    """Behaviour: a workbook written by another library is read with its own dates and times."""
    rows = [["Client", "Item", "Qty", "Time", "Weekdays"], ["Shop", "Hearth loaf", 12, dt.time(7, 30), "sat-sun"]]
    status, html = _send(browser, "orders.xlsx", _workbook(rows))
    assert status == 200
    assert "1 rows can be used, 0 cannot" in html
    assert "on top of 24" in html


def _bomb(sheet: bytes) -> bytes:
    """A sound workbook with something else in place of its sheet."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(_workbook([["a"]]))) as sound, zipfile.ZipFile(out, "w", 8) as packed:
        for entry in sound.infolist():
            packed.writestr(entry.filename, sheet if "sheet1" in entry.filename else sound.read(entry))
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("orders.xlsx", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4, "is not a text file"),
        ("orders.xlsx", b"PK\x03\x04" + b"x" * 100, "cannot be read as an XLSX workbook"),
        ("orders.xls", b"\xd0\xcf\x11\xe0" + b"x" * 100, "save it as XLSX or CSV"),
        ("notes.csv", b"dear bakery, twelve loaves please", "no headings found"),
        ("empty.csv", b"", "no headings found"),
        ("prices.csv", b"ingredient,pack,price\nmilk,1 kg,2 EUR", "is a table of prices; orders need customer"),
        ("large.csv", b"x" * 5_000_001, "at most 5 MB"),
    ],
)
def test_files_that_are_no_tables(browser: Client, name: str, data: bytes, sentence: str) -> None:
    """Bad input: status 422, one sentence beside the field, what was pasted is kept."""
    status, html = _send(browser, name, data)
    assert status == 422
    assert html.count('class="fault" id="') == 1
    assert sentence in html
    assert 'aria-describedby="file-fault"' in html
    assert ">typed before</textarea>" in html


@pytest.mark.parametrize(
    ("sheet", "sentence"),
    [
        (b" " * 200_000_000, "unpacks to far more than a table"),
        (b"<row>" + b"<c><v>1</v></c>" * 1_000_000 + b"</row>", "holds far more cells than a table"),
    ],
    ids=["bytes", "cells"],
)
def test_a_workbook_that_unpacks_to_far_too_much(browser: Client, sheet: bytes, sentence: str) -> None:
    """Bad input: 200 MB, or a million cells in one row, out of a small file are refused before the sheet is read."""
    data = _bomb(sheet)
    assert len(data) < 1_000_000
    status, html = _send(browser, "orders.xlsx", data)
    assert status == 422
    assert sentence in html


def test_nothing_pasted(browser: Client) -> None:
    """Bad input: an empty form says so; orders that are none of ours are not saved."""
    answer = browser.post("/orders/table/", {"pasted": "  "})
    assert answer.status_code == 422
    assert "nothing here to read" in answer.content.decode()
    for orders in ("", "[]", '{"standing": 3}', json.dumps({"single": [{"customer": "x"}]})):
        assert browser.post("/orders/table/confirm/", {"orders": orders}).status_code == 422


def test_both_languages(browser: Client) -> None:
    """Behaviour: every order page in Spanish, and a sentence beside a field too."""
    for page in ("/orders/", "/orders/week/", "/orders/standing/", "/orders/table/"):
        assert browser.get(page + "?lang=es").status_code == 200
    found = fields(browser.get(DAY).content.decode())
    html = browser.post(DAY, found | {"l0-c0": "x"}).content.decode()
    assert "Escribe un número entero de piezas de 0 a 999999" in html


def test_far_too_much_typed(browser: Client) -> None:
    """Bad input: 9 MB of text in a field, or 30,000 fields, are a page with one sentence, and nothing is saved."""
    for posted in ({"pasted": "x" * 9_000_000}, {f"f{n}": "" for n in range(30_000)}):
        answer = browser.post("/orders/table/", posted)
        assert answer.status_code == 413
        assert "too large to be read" in answer.content.decode()
