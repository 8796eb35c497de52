"""The words of the sheets: complete in every language, and written as each language writes numbers and dates."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest

import smallhours.sheets
from smallhours.errors import NotFound
from smallhours.sheets.type import REGULAR, face, printable, text_width_em
from smallhours.sheets.words import LANGUAGES, speech

_KEY = re.compile(
    r"""["']((?:format|weekday|month|unit|stage|place|ribbon|sheet|weigh|caution|shaped|[a-z]+-[a-z]+)\.[a-z-]+)["']"""
)


@pytest.mark.parametrize("lang", [lang for lang in LANGUAGES if lang != "en"])
def test_every_language_says_the_same_things(lang: str) -> None:
    """Behaviour: same keys, same placeholders, nothing empty."""
    english, other = speech("en").texts, speech(lang).texts
    assert english.keys() == other.keys()
    for key, text in english.items():
        assert sorted(re.findall(r"\{\w+\}", text)) == sorted(re.findall(r"\{\w+\}", other[key])), key
        assert text.strip()
        assert other[key].strip()


def test_every_key_that_the_sheets_ask_for_is_there_and_every_fixed_key_is_asked_for() -> None:
    """Behaviour: no key in the code without a text; no text of the frame that nobody prints."""
    code = "\n".join(path.read_text("utf-8") for path in Path(smallhours.sheets.__path__[0]).rglob("*.py"))
    asked = set(_KEY.findall(code))
    texts = speech("en").texts
    assert asked - set(texts) == set()
    built = (
        "weekday.",
        "month.",
        "stage.",
        "place.",
        "form.",
        "allergen.",
        "part-kind.",
        "sheet.",
        "night-sheet.status",
        "caution.",
        "weigh.butter-",
    )
    names = {f"bench-sheet.{name}" for name in ("from", "stage", "time", "where")}
    patterns = {f"ribbon.{name}" for name in ("hands", "mixing", "resting", "baking", "cooling")}
    assert {key for key in texts if not key.startswith(built)} - asked - names - patterns == set()


def test_every_printed_letter_is_in_the_shipped_fonts() -> None:
    """Behaviour: all words of all languages can be set in the main font."""
    for lang in LANGUAGES:
        letters = set("".join(speech(lang).texts.values()))
        assert {letter for letter in letters if not face(REGULAR).has(letter)} == set()


@pytest.mark.parametrize(
    ("lang", "value", "digits", "written"),
    [
        ("en", 12450.5, 1, "12\u2009450.5"),
        ("es", 12450.5, 1, "12\u2009450,5"),
        ("es", 999.0, 0, "999"),
        ("en", -4.0, 0, "\u22124"),
        ("en", -0.04, 1, "0.0"),
    ],
)
def test_numbers(lang: str, value: float, digits: int, written: str) -> None:
    """Hand: groups of three from the decimal mark, parted by a thin space; comma in Spanish (ISO 80000-1, 7.3)."""
    assert speech(lang).number(value, digits) == written


def test_masses_show_the_scale_step() -> None:
    """Hand: a 5 g step shows whole grams, a 0.05 g step two decimals; kilograms from 1 kg on for talking."""
    english, spanish = speech("en"), speech("es")
    assert english.mass(12345, 5) == "12\u2009345\u00a0g"
    assert spanish.mass(3.25, 0.05) == "3,25\u00a0g"
    assert english.kilograms(13_900) == "13.9\u00a0kg"
    assert english.kilograms(720) == "720\u00a0g"


def test_durations_clocks_and_dates() -> None:
    """Hand: 5400 s is 1 h 30 min; 15 November 2026 is a Sunday."""
    day, zone = dt.date(2026, 11, 15), dt.timezone(dt.timedelta(hours=1))
    assert speech("en").duration(5400) == "1\u00a0h\u00a030\u00a0min"
    assert speech("en").duration(3590) == "1\u00a0h"
    assert speech("es").day(day) == "domingo 15 de noviembre de 2026"
    assert speech("en").day(day, short=True) == "Sunday 15 November"
    assert speech("en").clock(dt.datetime(2026, 11, 15, 4, 7, 40, tzinfo=dt.UTC), zone) == "05:07"


def test_lists_and_placeholders() -> None:
    """Behaviour: the language's own "and"; a value that looks like a placeholder is left alone."""
    assert speech("es").listed(["huevo", "leche", "trigo"]) == "huevo, leche y trigo"
    assert speech("en").listed([]) == ""
    told = speech("en").say("ribbon.describe-lot", name="{start}", start="16:00", end="17:00")
    assert told == "{start}: one ribbon from 16:00 to 17:00."


def test_unknown_language_and_key() -> None:
    """Bad input: a language or key that is not there is named."""
    with pytest.raises(NotFound, match="xx"):
        speech("xx")
    with pytest.raises(NotFound, match=r"weigh\.nothing"):
        speech("en").say("weigh.nothing")


def test_figures_are_tabular() -> None:
    """Published: all ten digits have one width (497/1000 em in the font's own hmtx table, read with fontTools)."""
    assert {text_width_em(digit) for digit in "0123456789"} == {0.497}


def test_what_no_font_has_is_shown_as_a_square() -> None:
    """Behaviour: letters of other scripts and emoji become a visible square, control characters vanish."""
    assert printable("pain 🥐 東京\u0007") == "pain □ □□"
    assert printable("Ñandú → ½ °C شكر") == "Ñandú → ½ °C شكر"
    assert printable("n\u0303") == "ñ"
