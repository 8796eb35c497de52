"""The commands what-if, cure, headroom and fits: what they print, their JSON, what they refuse; none writes."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from cli_run import Run
from small_bakery import written_to
from smallhours.bakery.shift.variation import Variation
from smallhours.cli.schema import schema_of
from smallhours.cli.variations import read_variations

NIGHT = "2026-01-15"


@pytest.fixture
def small(run: Run, new_store: Path, tmp_path: Path) -> tuple[str, str]:
    """A store that holds the small bakery, and a plan of one of its nights; as an option."""
    home = ("--home", str(tmp_path / "small"))
    assert run("import", str(written_to(tmp_path / "files")), *home).code == 0
    assert run("plan", "--night", NIGHT, "--limit", "4", *home).code == 0
    return home


def test_nights_side_by_side(run: Run, small: tuple[str, str], tmp_path: Path) -> None:
    """Behaviour: a row for the night as it is and for each variation, of options and of files; nothing is kept."""
    file = tmp_path / "ill.toml"
    file.write_text('name = "A warm night"\nroom = "26 °C"\n', encoding="utf-8")
    before = run("plan", "--again", "--json", *small).out
    words = ("what-if", "--file", str(file), "--order", "hearth-roll=+8", "--limit", "2", *small)
    answer = run(*words, "--json")
    assert answer.code == 0
    jsonschema.validate(answer.json, schema_of("what-if-answer"))
    assert [night["name"] for night in answer.json["nights"]] == [
        "As it is", "A warm night", "8 pieces more of Hearth roll",
    ]  # fmt: skip
    assert [night["fits"] for night in answer.json["nights"]] == [True] * 3
    assert "A warm night" in run(*words).out
    assert run("plan", "--again", "--json", *small).out == before


def test_a_night_on_time_has_no_cures_and_something_left(run: Run, small: tuple[str, str]) -> None:
    """Behaviour: cure says that there is nothing to cure, headroom what is left, each also as JSON."""
    cure = run("cure", "--limit", "8", *small)
    assert (cure.code, "there is nothing to cure" in cure.out) == (0, True)
    answer = run("headroom", "--limit", "12", "--json", *small)
    assert answer.code == 0
    jsonschema.validate(answer.json, schema_of("headroom-answer"))
    assert {more["product"] for more in answer.json["headroom"]["more"]} == {"hearth-loaf", "hearth-roll"}
    said = run("headroom", "--limit", "12", *small).out
    assert "is on time." in said
    assert "The fullest hours" in said


def test_a_late_night_is_cured(run: Run, small: tuple[str, str], tmp_path: Path) -> None:
    """Behaviour: an order that is due before it can be made ends with 1 and names what would cure it."""
    table = tmp_path / "early.csv"
    table.write_text(f"customer,product,date,due,pieces\nInn,hearth-loaf,{NIGHT},02:00,4\n", encoding="utf-8")
    assert run("import", str(table), *small).code == 0
    run("plan", "--night", NIGHT, "--limit", "4", *small)
    answer = run("cure", "--night", NIGHT, "--limit", "20", "--json", *small)
    assert answer.code == 1
    jsonschema.validate(answer.json, schema_of("cure-answer"))
    cures = answer.json["cures"]
    assert cures["late"]
    assert cures["cures"]
    said = run("cure", "--night", NIGHT, "--limit", "20", *small)
    assert "Each of these was planned, and cures it:" in said.out


def test_an_extra_fits_or_not(run: Run, small: tuple[str, str]) -> None:
    """Behaviour: said before it is accepted, with what it costs and until when; what does not fit ends with 1."""
    words = ("--night", NIGHT, "--limit", "30", *small)
    answer = run("fits", "hearth-roll=6@07:30", "--now", "20:00", "--json", *words)
    assert answer.code == 0
    jsonschema.validate(answer.json, schema_of("fits-answer"))
    assert answer.json["fit"]["fits"]
    assert answer.json["fit"]["cut_off"] is not None
    late = run("fits", "hearth-roll=6@07:30", "--now", "07:00", *words)
    assert (late.code, "do not fit: no plan has them on time" in late.out) == (1, True)


def test_what_is_refused(run: Run, small: tuple[str, str], tmp_path: Path) -> None:
    """Bad input: each told in a sentence, ending with 2."""
    for said, words in {
        "say what would be otherwise": ("what-if",),
        "has no '='": ("what-if", "--earlier", "nerea"),
        "is not a whole number": ("what-if", "--more", "tin=some"),
        "are no hours": ("what-if", "--helper", "at night"),
        "is no change of an order": ("what-if", "--order", "hearth-roll=many"),
        "names no stage": ("what-if", "--way", "hearth-roll=fridge"),
        "says no length": ("what-if", "--bake", "hearth-roll=220 °C"),
        "cannot be read": ("what-if", "--file", str(tmp_path / "nothing.toml")),
        "there is no equipment 'tractor'": ("what-if", "--more", "tractor"),
        "is not an order": ("fits", "rolls"),
        "there is no formula 'plait'": ("fits", "plait=4@07:00"),
        "the limit (--limit)": ("cure", "--limit", "0"),
    }.items():
        answer = run(*words, *small)
        assert (answer.code, said in answer.err) == (2, True), (said, answer.err)


def test_options_are_read_as_a_variation() -> None:
    """Round trip: everything that can be said on a command line is in the document that it becomes."""
    said = [
        ("--more", "tin=4"), ("--fewer", "fridge"), ("--without", "oven"), ("--ill", "ana"), ("--earlier", "ben=9 min"),
        ("--stays", "ben=1 h"), ("--helper", "02:00-05:00"), ("--order", "loaf=+12@07:00"), ("--order", "roll=-3"),
        ("--due", "loaf@05:45=06:30"), ("--retard", "plait"), ("--way", "roll:proof=proofer"),
        ("--deck", "oven.top=190 °C"), ("--bake", "loaf=220 °C, 32 min"),
    ]  # fmt: skip
    (together,) = read_variations([], said, "17 °C", each=False)
    assert Variation.read_toml(together.to_toml(), "back") == together
    assert len(read_variations([], said, "17 °C", each=True)) == len(said) + 1
    assert [(thing.equipment, thing.by) for thing in together.things] == [("tin", 4), ("fridge", -1)]
    assert [(w.product, w.more, w.fewer) for w in together.orders] == [("loaf", 12, 0), ("roll", 0, 3), ("loaf", 0, 0)]
    assert [(w.product, w.stage, w.place) for w in together.ways] == [
        ("plait", "proof", "fridge"), ("roll", "proof", "proofer"),
    ]  # fmt: skip
    assert together.room_c == 17.0
