"""Commands answer people and programs: exit codes, JSON that keeps its published schema."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import jsonschema
import pytest

from cli_run import Run
from smallhours.bakery.formula.document import Formula
from smallhours.cli.schema import ANSWERS, DOCUMENTS, schema_of

NIGHT = "2026-11-26"
# held against their schemas in test_what_if and test_days; what open answers is only said while pages are served
ELSEWHERE = {"open", "ahead", "cure", "fits", "headroom", "plan-days", "what-if"}


def test_every_answer_keeps_its_schema(run: Run, demo: Path, tmp_path: Path) -> None:
    """Published: JSON Schema 2020-12, checked by the jsonschema library; every answer validates against its own."""
    home = ("--home", str(demo), "--json")
    run("plan", "--night", NIGHT, "--limit", "4", *home)
    asked = {
        "check": ("check",),
        "export": ("export", str(tmp_path / "out")),
        "formulas": ("formula",),
        "formula": ("formula", "harbour-bun", "--pieces", "64"),
        "swaps": ("swap", "harbour-bun"),
        "swap": ("swap", "harbour-bun", "milk-to-buttermilk"),
        "liquid": ("liquid", "egg-dough", "--mass", "12 kg"),
        "forecast": ("forecast", "milk-loaf", "--start", "18:30", "--picture", str(tmp_path / "loaf.svg")),
        "ask": ("ask", "night", "milk-loaf", "--in", "19:00", "--out", "06:00"),
        "plan": ("plan", "--again", "--night", NIGHT),
        "verify": ("verify", "--night", NIGHT),
        "odds": ("odds", "--night", NIGHT, "--nights", "20"),
        "sheets": ("sheets", str(tmp_path / "sheets"), "--only", "oven"),
        "import": ("import", str(tmp_path / "out")),
        "people": ("person", "list"),
        "tablets": ("tablet", "list"),
        "backup": ("backup", str(tmp_path / "kept.zip")),
        "restore": ("restore", str(tmp_path / "kept.zip"), "--replace"),
    }
    for name, words in asked.items():
        answer = run(*words, *home)
        assert answer.code in (0, 1), (name, answer.err)
        jsonschema.validate(answer.json, schema_of(f"{name}-answer"))
        assert answer.json["schema_name"].startswith("smallhours."), name
    assert set(asked) | ELSEWHERE == set(ANSWERS)


def test_the_schema_of_a_document_accepts_what_export_writes(run: Run, demo: Path, tmp_path: Path) -> None:
    """Published: JSON Schema 2020-12; every exported TOML document validates against the schema of its kind."""
    import tomllib

    assert run("export", str(tmp_path / "out"), "--home", str(demo)).code == 0
    kinds = {"formulas": "formula", "kitchens": "kitchen", "orders.toml": "orders", "ingredients.toml": "ingredients"}
    files = list((tmp_path / "out").rglob("*.toml"))
    assert len(files) >= 15
    for file in files:
        kind = kinds[file.relative_to(tmp_path / "out").parts[0]]
        jsonschema.validate(_plain(tomllib.loads(file.read_text(encoding="utf-8"))), schema_of(kind))


def _plain(value: object) -> object:
    """TOML dates and times as JSON writes them."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return value


def test_what_is_exported_reads_back_the_same(run: Run, demo: Path, tmp_path: Path) -> None:
    """Round trip: export, import into an empty store, export again: the same files, byte for byte."""
    first, second, other = tmp_path / "first", tmp_path / "second", tmp_path / "other"
    assert run("export", str(first), "--home", str(demo)).code == 0
    assert run("import", str(first), "--home", str(other)).code in (0, 1)
    assert run("export", str(second), "--home", str(other)).code == 0
    names = sorted(path.relative_to(first) for path in first.rglob("*.toml"))
    assert names == sorted(path.relative_to(second) for path in second.rglob("*.toml"))
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes()


def test_a_plan_says_who_is_late_with_its_exit_code(run: Run, demo: Path, tmp_path: Path) -> None:
    """Behaviour: bread dropped just before it is due cannot be there in time: the command ends with 1, and the order is
    in the plan with its lateness and a reason."""
    orders = tmp_path / "orders.csv"
    orders.write_text(f"customer,product,date,due,pieces\nGulls,quay-loaf,{NIGHT},07:00,4\n", encoding="utf-8")
    assert run("import", str(orders), "--home", str(demo), "--replace-orders").code == 0
    words = ("--night", NIGHT, "--home", str(demo), "--json")
    assert run("plan", "--limit", "3", *words).code == 0
    answer = run("replan", "--now", "06:30", "--lost", "quay-loaf.lot.1", "--limit", "3", *words)
    assert answer.code == 1
    late = [order for order in answer.json["orders"] if order["late_s"] > 0]
    assert [order["product"] for order in late] == ["quay-loaf"]
    assert answer.json["late"][0]["sentence"]


def test_temperatures_for_people_are_short(run: Run, demo: Path, tmp_path: Path) -> None:
    """Hand: 350 °F are 176.67 °C: an oven is shown at 177 °C, and the plan's JSON keeps the whole number."""
    orders = tmp_path / "orders.csv"
    orders.write_text(f"customer,product,date,due,pieces\nGulls,harbour-bun,{NIGHT},07:00,16\n", encoding="utf-8")
    assert run("import", str(orders), "--home", str(demo), "--replace-orders").code == 0
    answer = run("plan", "--night", NIGHT, "--limit", "3", "--home", str(demo), "--json")
    assert [oven["set_temp_c"] for oven in answer.json["ovens"]] == [176.67]
    said = run("plan", "--night", NIGHT, "--home", str(demo), "--again").out
    assert "177 °C" in said
    assert "176." not in said


def test_a_swap_says_what_moves_and_the_revision_it_wrote(run: Run, demo: Path) -> None:
    """Behaviour: butter out, oil and water in, with percent before and after; --save says its revision's number."""
    words = ("swap", "egg-dough", "butter-to-oil", "--home", str(demo))
    looked = run(*words)
    assert "Nothing was written" in looked.out
    (butter,) = [line for line in looked.out.splitlines() if line.endswith("goes out")]
    assert butter.split()[1:5] == ["Butter,", "unsalted", "14.00", "0.00"]
    assert any("comes in" in line and "oil" in line for line in looked.out.splitlines())
    assert "Written as revision 2." in run(*words, "--save").out
    back = run("swap", "egg-dough", "oil-to-butter", "--home", str(demo), "--save", "--json").json
    assert (back["saved"], back["revision"]) == (True, 3)
    assert {move["key"]: move["after"] for move in back["moves"]}["oil-sunflower"] == 0


def test_an_import_that_says_nothing_new_says_so(run: Run, demo: Path, tmp_path: Path) -> None:
    """Behaviour: what was exported comes in without a revision and without "Written."; one changed file is counted."""
    out = tmp_path / "out"
    assert run("export", str(out), "--home", str(demo)).code == 0
    same = run("import", str(out), "--home", str(demo)).out.splitlines()
    assert same[-1] == "Nothing was written: everything in it is in the store already."
    loaf = out / "formulas" / "milk-loaf.toml"
    loaf.write_text(loaf.read_text(encoding="utf-8").replace('name = "', 'name = "Best ', 1), encoding="utf-8")
    one = run("import", str(out), "--home", str(demo)).out.splitlines()
    files = len(list(out.rglob("*.toml")))
    assert one[-1] == f"Written; {files - 1} of {files} documents said nothing new."


def test_a_kitchen_on_a_mountain_is_told_of_its_cores(run: Run, demo: Path, tmp_path: Path) -> None:
    """Behaviour: the invented bakery by the sea has nothing to mend; moved to 2500 m, check names each core too hot."""
    assert run("export", str(tmp_path), "--only", "kitchen", "--home", str(demo)).code == 0
    (file,) = (tmp_path / "kitchens").glob("*.toml")
    text = file.read_text(encoding="utf-8")
    assert "altitude_m = 6.0" in text
    file.write_text(text.replace("altitude_m = 6.0", "altitude_m = 2500.0"), encoding="utf-8")
    assert run("import", str(file), "--home", str(demo)).code == 1
    checked = run("check", "--home", str(demo))
    assert checked.code == 1
    assert "formula 'quay-loaf': is baked to a core of 97 °C, but at 2500 m water boils at 91.6 °C" in checked.out
    assert "'brioche': is baked to a core" not in checked.out


def test_an_empty_order_book_is_no_error(run: Run, demo: Path, tmp_path: Path) -> None:
    """Behaviour: no orders for the night: nothing to bake, exit code 0."""
    orders = tmp_path / "orders.csv"
    orders.write_text("customer,product,date,due,pieces\nGulls,quay-loaf,2026-01-01,05:00,4\n", encoding="utf-8")
    assert run("import", str(orders), "--home", str(demo), "--replace-orders").code == 0
    answer = run("plan", "--night", NIGHT, "--home", str(demo), "--json")
    assert answer.code == 0
    assert answer.json["status"] == "empty"
    said = run("plan", "--night", NIGHT, "--home", str(demo), "--again")
    assert "Nothing to bake" in said.out


def test_the_liquid_that_cannot_be_poured_ends_with_1(run: Run, demo: Path) -> None:
    """Behaviour: an unreachable target is answered with what would do instead, exit code 1."""
    words = ("--room", "35 °C", "--flour", "34 °C", "--target", "18 °C", "--home", str(demo))
    answer = run("liquid", "milk-loaf", "--mass", "8 kg", *words)
    assert answer.code == 1
    assert "cannot be reached" in answer.out
    assert "chill the flour" in answer.out


@pytest.mark.parametrize("name", sorted(DOCUMENTS))
def test_documents_have_schemas(run: Run, name: str) -> None:
    """Behaviour: the schema command prints a valid JSON Schema for every kind of document."""
    answer = run("schema", name)
    assert answer.code == 0
    jsonschema.Draft202012Validator.check_schema(answer.json)


def test_a_schema_refuses_what_the_document_refuses() -> None:
    """Limit: a formula without its id is refused by class and by schema alike."""
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"name": "Nameless"}, schema_of("formula"))
    with pytest.raises(ValueError, match="id: is missing"):
        Formula.read({"name": "Nameless"}, "test")


def test_the_program_says_its_version(run: Run) -> None:
    """Behaviour: --version alone ends with 0 and the version of the package."""
    from smallhours import __version__

    answer = run("--version")
    assert (answer.code, answer.out.strip()) == (0, f"smallhours {__version__}")
