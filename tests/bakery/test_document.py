from __future__ import annotations

import pytest

from smallhours.bakery.document import Document, parse_toml, text_name
from smallhours.bakery.formula.document import Line, Part, Yield
from smallhours.bakery.ingredient import Price
from smallhours.errors import BadInput, DocumentError


def test_names_in_the_text_form():
    """Behaviour: a unit ends the field's name and is written with the value in the text form."""
    names = ("duration_s", "mass_g", "set_temp_c", "length_mm", "bowl_ml", "percent", "steps")
    assert [text_name(n) for n in names] == ["duration", "mass", "set_temp", "length", "bowl", "percent", "steps"]


def test_both_forms_read_the_same():
    """Round trip: text form, JSON form and the document itself."""
    text = Yield.read({"piece_mass": "3 oz", "claimed_mass": "1.5 kg"}, "t")
    plain = Yield.read({"piece_mass_g": 85.048569375, "claimed_mass_g": 1500}, "t")
    assert text == plain
    assert Yield.read(text.to_json_data(), "t") == text
    assert Yield.read_toml(Yield.read({"piece_mass_g": 85}, "t").to_toml(), "t").piece_mass_g == 85


def test_a_price_is_written_to_the_last_cent():
    """Round trip: two decimals, or as many more as there are; the store keeps four, and no more zeros come of it."""
    price = {"ingredient": "salt", "pack_mass": "25 kg", "currency": "EUR"}
    for kept, written in (("8.5000", "8.50"), ("8", "8.00"), ("0.1234", "0.1234"), ("1200", "1200.00")):
        document = Price.read({**price, "price": kept}, "t")
        assert f'price = "{written}"' in document.to_toml()
        assert Price.read_toml(document.to_toml(), "t") == document


def test_a_number_without_a_unit_is_asked_about():
    """Bad input: piece_mass = 85 would be grams to us and ounces to her; 0 is the same in all units."""
    with pytest.raises(DocumentError, match="piece_mass = 85 has no unit: write it with one, or use piece_mass_g"):
        Yield.read({"piece_mass": 85}, "t")
    assert Part.read({"id": "a", "name": "A", "lines": [{"ingredient": "salt", "mass": 0}]}, "t").lines[0].mass_g == 0


def test_all_faults_at_once():
    """Bad input: every fault is named with its place, counted from 1, and with what was found."""
    data = {
        "id": "Big Part",
        "name": "",
        "kind": "doh",
        "lines": [
            {"ingredient": "salt", "percent": -2},
            {"ingredient": "water", "percent": float("nan"), "colour": "blue"},
        ],
    }
    with pytest.raises(DocumentError) as error:
        Part.read(data, "part.toml")
    said = {fault.where: fault.what for fault in error.value.faults}
    assert set(said) == {"id", "name", "kind", "lines[1].percent", "lines[2].percent", "lines[2].colour"}
    assert said["id"] == "must be lower-case words joined by hyphens, like 'milk-loaf' (found 'Big Part')"
    assert said["lines[1].percent"] == "must be 0 or more (found -2)"
    assert said["lines[2].percent"].startswith("must be a finite number")
    assert said["lines[2].colour"] == "is not a field of this document"
    assert "'dough'" in said["kind"]
    assert str(error.value).count("part.toml: ") == 6


def test_a_syntax_error_has_a_line_and_a_column():
    """Bad input: TOML that breaks off in its second line."""
    with pytest.raises(DocumentError, match=r"bun.toml: not valid TOML: .*line 2, column 8"):
        parse_toml('id = "bun"\nname = \n', "bun.toml")


def test_errors_are_bad_input():
    """Behaviour: who catches BadInput or ValueError catches a document's faults."""
    assert issubclass(DocumentError, BadInput)
    assert issubclass(DocumentError, ValueError)


def test_documents_do_not_change():
    """Behaviour: a revision cannot be altered once it is read."""
    line = Line(ingredient="salt", percent=2)
    with pytest.raises(ValueError, match="frozen"):
        line.percent = 3


def test_defaults_are_not_written():
    """Behaviour: the text form holds what was said, no more."""
    assert Line(ingredient="salt", percent=2).to_toml() == 'ingredient = "salt"\npercent = 2.0\n'
    assert isinstance(Line.json_schema(), dict)
    assert set(Document.model_fields) == set()
