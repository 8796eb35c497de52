"""Bad input gets one clear sentence, exit code 2, and nothing is written."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli_run import Run

FORMULA = """
id = "plain"
name = "Plain"
[output]
piece_mass = "500 g"
[[parts]]
id = "dough"
name = "Dough"
lines = [{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 65 }]
[[stages]]
kind = "mix"
low = "5 min"
"""


def _revisions(home: Path) -> int:
    import sqlite3

    with sqlite3.connect(home / "store.sqlite3") as store:
        return int(store.execute("SELECT COUNT(*) FROM records_formularevision").fetchone()[0])


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (FORMULA.replace("bread-flour", "bred-flour"), "did you mean"),
        (FORMULA.replace('ingredient = "bread-flour"', 'ingredient = "sugar"'), "flour"),
        (FORMULA.replace("percent = 65", "percent = -65"), "must be 0 or more"),
        (FORMULA.replace("percent = 65", "percent = nan"), "finite"),
        (FORMULA.replace('"500 g"', '"-500 g"'), "must be 0 or more"),
        (FORMULA.replace('low = "5 min"', "low = 5"), "has no unit"),
        (FORMULA.replace('low = "5 min"', 'low = "5 minutes"'), "is not a duration"),
        (FORMULA.replace('kind = "mix"', 'kind = "stir"'), "must be"),
        (FORMULA + "[broken", "line 13, column 8"),
        (FORMULA.replace('ingredient = "water"', 'part = "dough"'), "feeds itself"),
        (FORMULA.replace('name = "Plain"', 'name = "Plain"\nbase = "nowhere"'), "there is no formula"),
    ],
)
def test_a_bad_formula_is_refused_whole(run: Run, demo: Path, tmp_path: Path, text: str, sentence: str) -> None:
    """Bad input: the file, the place and what would be right are said; no revision is written."""
    file = tmp_path / "plain.toml"
    file.write_text(text, encoding="utf-8")
    before = _revisions(demo)
    answer = run("import", str(file), "--home", str(demo))
    assert answer.code == 2
    assert sentence in answer.out + answer.err
    assert "Traceback" not in answer.out + answer.err
    assert _revisions(demo) == before
    as_json = run("import", str(file), "--home", str(demo), "--json")
    assert as_json.code == 2
    assert as_json.json["refused"]


def test_the_good_formula_is_written(run: Run, demo: Path, tmp_path: Path) -> None:
    """Limit: the formula that the bad ones are made from is good."""
    file = tmp_path / "plain.toml"
    file.write_text(FORMULA, encoding="utf-8")
    assert run("import", str(file), "--home", str(demo)).code in (0, 1)
    assert run("formula", "plain", "--home", str(demo)).code in (0, 1)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("formula", "harbor-bun"), "harbour-bun"),
        (("formula", "harbour-bun", "--pieces", "1000000"), "from 1 to 999999"),
        (("formula", "harbour-bun", "--pieces", "-4"), "pieces"),
        (("formula", "harbour-bun", "--dough", "much"), "is not a mass"),
        (("formula", "harbour-bun", "--dough", "nan kg"), "is not a mass"),
        (("formula", "harbour-bun", "--pieces", "8", "--pans", "1"), "one amount"),
        (("formula", "harbour-bun", "--on-hand", "butter"), "butter-unsalted=7.2 kg"),
        (("formula", "harbour-bun", "--on-hand", "butter=7.2 kg"), "did you mean butter-unsalted?"),
        (("formula", "harbour-bun", "--on-hand", "rye-flour-medium=1 kg"), "rye-flour-medium"),
        (("liquid", "harbour-bun", "--mass", "0 kg"), "no mixer takes 0 kg"),
        (("liquid", "harbour-bun", "--mixer", "blender"), "no mixer"),
        (("liquid", "harbour-bun", "--room", "warm"), "is not a temperature"),
        (("plan", "--night", "tomorrow"), "2026-03-14"),
        (("plan", "--limit", "0"), "above 0"),
        (("sheets", "--only", "poster"), "is no sheet"),
        (("sheets", "--night", "2020-01-01"), "plan"),
        (("swap", "harbour-bun", "butter-to-gold"), "swap"),
        (("import", "nowhere.toml"), "no such file"),
        (("export", "somewhere", "--only", "nothing"), "there is no"),
        (("schema", "poem"), "there is no schema"),
        (("open", "--port", "99999"), "port"),
    ],
)
def test_one_clear_sentence(run: Run, demo: Path, words: tuple[str, ...], sentence: str) -> None:
    """Bad input: exit code 2 and a sentence that names what would be right; with --json an error object."""
    home = () if words[0] == "schema" else ("--home", str(demo))
    answer = run(*words, *home)
    assert answer.code == 2, answer.out
    assert sentence in " ".join(answer.err.split())
    assert "Traceback" not in answer.err
    if words[0] != "schema":
        told = run(*words, *home, "--json")
        assert told.code == 2
        assert json.loads(told.out)["schema_name"] == "smallhours.error/1"


def test_a_store_that_is_no_folder(run: Run, tmp_path: Path) -> None:
    """Bad input: --home on a file is said in one sentence."""
    file = tmp_path / "file"
    file.write_text("x", encoding="utf-8")
    answer = run("formula", "--home", str(file))
    assert answer.code == 2
    assert "cannot be used" in answer.err


def test_orders_in_another_encoding(run: Run, demo: Path, tmp_path: Path) -> None:
    """Behaviour: a Windows-1252 table with semicolons is read, and what was assumed is said."""
    file = tmp_path / "orders.csv"
    text = "cliente;producto;fecha;hora;piezas\nCafé del Muelle;quay-loaf;2026-11-26;05:45;6\n"
    file.write_bytes(text.encode("cp1252"))
    answer = run("import", str(file), "--home", str(demo), "--json")
    assert answer.code == 0
    (report,) = answer.json["files"]
    assert report["rows"][0]["understood"]["customer"] == "Café del Muelle"
    assert any("1252" in note for note in report["assumed"])


def test_a_bad_row_refuses_the_table_unless_asked(run: Run, demo: Path, tmp_path: Path) -> None:
    """Behaviour: a row with an unknown product refuses all rows; --only-good keeps the good one and ends with 1."""
    file = tmp_path / "orders.csv"
    rows = "Gulls,quay-loaf,2026-11-26,05:45,6\nGulls,cloud-cake,2026-11-26,05:45,6\n"
    file.write_text("customer,product,date,due,pieces\n" + rows, encoding="utf-8")
    refused = run("import", str(file), "--home", str(demo), "--json")
    assert refused.code == 2
    assert [row["problem"] is None for row in refused.json["files"][0]["rows"]] == [True, False]
    kept = run("import", str(file), "--only-good", "--home", str(demo), "--json")
    assert kept.code == 1
    assert kept.json["files"][0]["written"]


def test_the_demo_does_not_overwrite(run: Run, demo: Path) -> None:
    """Bad input: loading the demo into a store that holds a bakery is refused unless forced."""
    assert run("demo", "--home", str(demo)).code == 2
    assert run("demo", "--home", str(demo), "--force").code == 0
