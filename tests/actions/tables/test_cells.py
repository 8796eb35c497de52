"""One cell to one value."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from smallhours.actions.tables import cells


@pytest.mark.parametrize(
    ("written", "mark"),
    [
        (["12,5", "3"], ","),
        (["1.234,50"], ","),
        (["1,234.50"], "."),
        (["1.234.567"], ","),
        (["12.5 kg", "25 kg"], "."),
        (["1,250", "25"], None),
        (["12,5", "12.5"], None),
        ([], None),
    ],
)
def test_the_decimal_mark_is_what_the_numbers_prove(written: list[str], mark: str | None) -> None:
    """Hand: one or two decimals prove the mark, three may be thousands, contradictions prove nothing."""
    assert cells.decimal_mark(written) == mark


@pytest.mark.parametrize(
    ("written", "mark", "value"),
    [
        ("12,5", ",", 12.5),
        ("1.234,50", ",", 1234.5),
        ("1,234.50", ".", 1234.5),
        ("1.250", ",", 1250.0),
        ("1.250", ".", 1.25),
        ("12,5", None, 12.5),
        ("-3", None, -3.0),
        (" 7 ", None, 7.0),
        ("0,125", None, 0.125),
        ("-0.125", None, -0.125),
        (18.9, None, 18.9),
    ],
)
def test_numbers_with_either_mark(written: object, mark: cells.Mark | None, value: float) -> None:
    """Hand: the same digits with comma and point, read with the table's mark."""
    assert cells.number(written, mark) == value  # type: ignore[arg-type]


@pytest.mark.parametrize("written", ["1,250", "12,5,3", "abc", "", "1.2.3", "NaN", "inf", float("nan")])
def test_what_is_not_one_number_is_refused(written: object) -> None:
    """Bad input: a number that can be read two ways, two decimal marks, words, not-a-number."""
    with pytest.raises(ValueError, match=r"two ways|not a number"):
        cells.number(written, None)  # type: ignore[arg-type]


def test_a_price_keeps_its_digits() -> None:
    """Hand: 18,90 is 18.90, not its nearest binary fraction."""
    assert cells.exact("18,90", ",") == Decimal("18.90")


def test_pieces_are_whole() -> None:
    """Hand: a thousands mark in a count is no decimal mark; half a piece is refused."""
    assert cells.whole("1.250", None) == cells.whole("1,250", ",") == 1250
    assert cells.whole(12.0, None) == 12
    with pytest.raises(ValueError, match="not a whole number"):
        cells.whole("2,5", ",")


@pytest.mark.parametrize("written", ["2026-01-15", "15/01/2026", "15.1.2026", "15-1-26", dt.date(2026, 1, 15)])
def test_dates(written: object) -> None:
    """Hand: 15 January 2026 in ISO 8601 and in day/month/year."""
    assert cells.date(written) == dt.date(2026, 1, 15)  # type: ignore[arg-type]


def test_a_month_first_date_is_refused_where_it_shows() -> None:
    """Bad input: 01/15/2026 has no fifteenth month."""
    with pytest.raises(ValueError, match="day/month/year"):
        cells.date("01/15/2026")


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("06:30", "06:30"),
        ("6.30", "06:30"),
        ("6h30", "06:30"),
        ("6 h", "06:00"),
        ("6:30 pm", "18:30"),
        ("12 am", "00:00"),
        ("12:15 p.m.", "12:15"),
        ("06:30:00", "06:30"),
        (0.25, "06:00"),
        (dt.time(6, 30), "06:30"),
    ],
)
def test_times(written: object, value: str) -> None:
    """Hand: half past six in the ways people write it; a spreadsheet's 0.25 of a day is 06:00."""
    assert f"{cells.time(written):%H:%M}" == value  # type: ignore[arg-type]


@pytest.mark.parametrize("written", ["25:00", "6:75", "630", "soon", "", "6", 1.5])
def test_what_is_no_time_is_refused(written: object) -> None:
    """Bad input: hours above 23, minutes above 59, bare numbers, words."""
    with pytest.raises(ValueError, match="not a time of day"):
        cells.time(written)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("mon, wed", "mon wed"),
        ("Mon-Fri", "mon tue wed thu fri"),
        ("L-V", "mon tue wed thu fri"),
        ("lunes a viernes", "mon tue wed thu fri"),
        ("sábado y domingo", "sat sun"),
        ("fri-mon", "mon fri sat sun"),
        ("daily", "mon tue wed thu fri sat sun"),
        ("todos los días", "mon tue wed thu fri sat sun"),
        ("miércoles", "wed"),
    ],
)
def test_weekdays(written: str, value: str) -> None:
    """Hand: lists and spans in English and Spanish; a span may run over the week's end."""
    assert " ".join(cells.days(written)) == value


@pytest.mark.parametrize("written", ["someday", "", "mon-xyz", "32"])
def test_what_is_no_weekday_is_refused(written: str) -> None:
    """Bad input: words that are no weekday."""
    with pytest.raises(ValueError, match="weekday"):
        cells.days(written)


@pytest.mark.parametrize(
    ("written", "mark", "value_g"),
    [("25 kg", None, 25000.0), ("12,5kg", ",", 12500.0), ("500 g", None, 500.0), ("50 lbs", None, 22679.6185)],
)
def test_masses(written: str, mark: cells.Mark | None, value_g: float) -> None:
    """Published: 1 lb is 453.592 37 g exactly (NIST SP 811, appendix B.8), so 50 lb are 22 679.6185 g."""
    assert cells.mass_g(written, mark) == pytest.approx(value_g, rel=1e-12)


@pytest.mark.parametrize("written", ["25", "kg", "25 stone", "-1 kg"])
def test_a_mass_needs_a_known_unit(written: str) -> None:
    """Bad input: no unit, no number, an unknown unit, less than nothing."""
    with pytest.raises(ValueError, match="not a mass"):
        cells.mass_g(written, None)
