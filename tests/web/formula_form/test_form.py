"""The form of a formula: what is written reads back; what is typed wrong is said beside its field."""

from __future__ import annotations

from functools import cache

import pytest

from forecast.demo_bakery import formulas, pantry
from smallhours.actions.known_ingredients import KnownIngredients
from smallhours.bakery.formula.document import Formula
from smallhours.web.formula_form.form import read_form, texts_of
from smallhours.web.words import page_speech


@cache
def known() -> KnownIngredients:
    """The invented bakery's ingredients."""
    return KnownIngredients(tuple(pantry().find(key) for key in list(pantry().keys())))


def _texts(slug: str = "harbour-bun", **changed: str) -> dict[str, str]:
    named = {name.replace("_", "-"): text for name, text in changed.items()}
    return texts_of(formulas()[slug], known(), page_speech("en")) | named


def _read(texts: dict[str, str], lang: str = "en") -> Formula | dict[str, str]:
    read = read_form(texts, known(), page_speech(lang))
    return dict(read.faults) if read.formula is None else read.formula


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("slug", sorted(formulas()))
def test_every_formula_reads_back(slug: str, lang: str) -> None:
    """Round trip: a formula written as the texts of the form, in either language, reads back to the same formula."""
    speech = page_speech(lang)
    read = read_form(texts_of(formulas()[slug], known(), speech), known(), speech)
    assert read.faults == {}
    assert read.formula == formulas()[slug]


@pytest.mark.parametrize(
    ("typed", "percent"),
    [("68", 68), ("68,5", 68.5), ("68.5", 68.5), (" 68 % ", 68), ("0", 0), (",5", 0.5), ("1\u2009000", 1000)],
)
def test_numbers_as_people_type_them(typed: str, percent: float) -> None:
    """Behaviour: decimal comma or point, a percent sign, spaces within."""
    formula = _read(_texts(p0_l2_amount=typed))
    assert formula.part("dough").lines[2].percent == percent


@pytest.mark.parametrize("typed", ["abc", "6 8 x", "--5", "1e3", "٣", "<b>5</b>", "5%%", "6,8,0", "🥖", "\u202e5"])
def test_what_is_no_number(typed: str) -> None:
    """Bad input: one sentence beside that field, which shows what was typed and what would be right."""
    faults = _read(_texts(p0_l2_amount=typed))
    assert list(faults) == ["p0-l2-amount"]
    assert "Write a number like 68 or 68.5" in faults["p0-l2-amount"]
    assert typed in faults["p0-l2-amount"]


def test_huge_and_negative_numbers_are_refused() -> None:
    """Bad input: beyond what a percentage can be, below nothing, and too many digits to be shown whole."""
    assert "from 0 to 1000" in _read(_texts(p0_l2_amount="100000"))["p0-l2-amount"]
    assert "from 0 to 1000" in _read(_texts(p0_l2_amount="-5"))["p0-l2-amount"]
    fault = _read(_texts(p0_l2_amount="9" * 400))["p0-l2-amount"]
    assert len(fault) < 120


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("s4-duration", "90", "length of time like 1 h 30 min"),
        ("s4-duration", "2 hours", "length of time"),
        ("s4-duration", "200 d", "more than can be"),
        ("s4-at", "warm", "temperature like 24 °C"),
        ("p0-target", "900 °C", "more than can be"),
        ("out-mass", "heavy", "mass like 142 g"),
        ("sheet-length", "40", "length like 40 cm"),
        ("sheet-folds", "3, 9", "folds like 3, 3, 4"),
        ("pieces-per-pan", "2.5", "whole number"),
        ("pieces-per-pan", "0", "from 1 to 1000"),
        ("p0-l2-what", "milk of the moon", "no ingredient"),
        ("p0-l2-what", "Whole mlik", "did you mean"),
        ("p0-l2-what", "", "must be filled in"),
        ("name", "", "must be filled in"),
        ("name", "a" * 501, "At most 500 characters"),
        ("name", "safe\u202eevil", "turn the direction"),
        ("name", "nul\x00", "cannot be seen"),
        ("s4-kind", "dance", "words in the list"),
    ],
)
def test_one_sentence_beside_the_field(field: str, typed: str, says: str) -> None:
    """Bad input: each kind of field says what would be right, in both languages, and beside itself alone."""
    faults = _read(_texts() | {field: typed})
    assert list(faults) == [field]
    assert says in faults[field]
    spanish = _read(_texts() | {field: typed}, "es")
    assert list(spanish) == [field]
    assert says not in spanish[field]


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "خبز بالحليب", "🥖 Baguette 👩‍🍳", 'O"Brien & Söhne'])
def test_names_of_any_kind(name: str) -> None:
    """Behaviour: a name may hold anything that can be seen, in any direction; it is text and nothing else."""
    assert _read(_texts() | {"name": name}).name == name


def test_bare_temperatures_are_degrees_celsius() -> None:
    """Behaviour: the field says °C, so a bare number means that; Fahrenheit has to be written."""
    assert _read(_texts() | {"s4-at": "24,5"}).stages[4].at_temp_c == 24.5
    assert _read(_texts() | {"s4-at": "75 °F"}).stages[4].at_temp_c == pytest.approx(23.89)


def test_what_a_document_finds_stands_beside_its_field() -> None:
    """Bad input: faults between fields are placed where they can be put right."""
    assert list(_read(_texts() | {"s4-min": "9 h"})) == ["s4-min"]
    assert list(_read(_texts() | {"out-bake-loss": "59.9", "p1-size": ""})) == ["p1-name"]
    assert list(_read(_texts() | {"s12-set": ""})) == ["s12-set"]
    assert list(_read(_texts() | {"p1-id": "dough"})) != []


def test_lines_without_anything_are_left_out_and_empty_parts_are_not() -> None:
    """Behaviour: an empty line is nothing; a part without lines is asked for some."""
    texts = _texts("milk-loaf") | {"p0-l9-what": "", "p0-l9-amount": " "}
    assert _read(texts) == formulas()["milk-loaf"]
    bare = {name: "" if name.startswith("p0-l") else text for name, text in texts.items()}
    assert "at least one ingredient" in _read(bare)["p0-name"]


def test_a_part_goes_into_another_by_its_name() -> None:
    """Behaviour: a line that names a part of this formula takes that part, with the flour it brings if so said."""
    texts = _texts("quay-loaf")
    assert _read(texts) == formulas()["quay-loaf"]
    lines = [line for part in _read(texts).parts for line in part.lines if line.part]
    assert lines
    assert any(line.flour_percent is not None for line in lines)


def test_a_part_written_in_masses() -> None:
    """Behaviour: the part says whether its figures are percentages or masses; bare figures of a mass are grams."""
    texts = _texts("milk-loaf") | {"p0-in": "mass", "p0-l0-amount": "9.2 kg"}
    line = _read(texts).part("dough").lines
    assert (line[0].mass_g, line[1].mass_g) == (9200, 8)


def test_what_goes_along_unseen_cannot_smuggle() -> None:
    """Bad input: a hidden rest that is no JSON, names what is not there, or what has a field of its own, is nothing."""
    for rest in ("{", "[1]", '"x"', '{"nonsense": 1, "name": "Other"}'):
        formula = _read(_texts("milk-loaf") | {"p0-rest": rest})
        assert formula.part("dough").name == "Milk dough"
