"""The command verify: what it prints, as what it ends, what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli_run import Run

NIGHT = "2026-11-26"


@pytest.fixture
def documents(run: Run, demo: Path, tmp_path: Path) -> Path:
    """The demo bakery's documents as files."""
    assert run("export", str(tmp_path / "papers"), "--home", str(demo)).code == 0
    return tmp_path / "papers"


@pytest.fixture
def plan(run: Run, demo: Path, tmp_path: Path) -> Path:
    """A plan of the demo bakery in a file, and in its store."""
    answer = run("plan", "--night", NIGHT, "--limit", "3", "--json", "--home", str(demo))
    file = tmp_path / "plan.json"
    file.write_text(answer.out, encoding="utf-8")
    return file


def test_a_good_plan_passes_from_file_and_store(run: Run, demo: Path, plan: Path, documents: Path) -> None:
    """Behaviour: what plan --json writes has nothing wrong, alone, against its documents, and as it was stored."""
    kitchen = next((documents / "kitchens").glob("*.toml"))
    whole = ("--kitchen", str(kitchen), "--formulas", str(documents), "--orders", str(documents / "orders.toml"))
    for words in ((str(plan),), (str(plan), *whole), ("--night", NIGHT, "--home", str(demo)), ("--home", str(demo))):
        answer = run("verify", *words)
        assert (answer.code, answer.out.splitlines()[0][:20]) == (0, "Nothing is wrong wit"), answer.out


def test_a_spoilt_plan_ends_with_1_and_says_what_is_wrong(run: Run, plan: Path) -> None:
    """Behaviour: each violation on a line of its own, with its kind and place; as JSON with the same in fields."""
    spoilt = json.loads(plan.read_text(encoding="utf-8"))
    spoilt["orders"][0]["pieces"] += 1
    plan.write_text(json.dumps(spoilt), encoding="utf-8")
    answer = run("verify", str(plan))
    assert answer.code == 1
    said = f"pieces: {spoilt['orders'][0]['customer']}'s {spoilt['orders'][0]['product']}: "
    assert answer.out.startswith(said)
    assert answer.out.splitlines()[-1].startswith("One thing is wrong with ")
    reply = run("verify", str(plan), "--json")
    assert reply.code == 1
    assert not reply.json["sound"]
    assert [violation["kind"] for violation in reply.json["violations"]] == ["pieces"]


def test_an_order_that_came_after_the_plan_is_found(run: Run, demo: Path, plan: Path, tmp_path: Path) -> None:
    """Behaviour: the stored plan is held against the order book as it is now."""
    table = tmp_path / "more.csv"
    table.write_text(f"customer,product,date,due,pieces\nLate caller,milk-loaf,{NIGHT},07:30,3\n", encoding="utf-8")
    assert run("import", str(table), "--kind", "orders", "--home", str(demo)).code in (0, 1)
    answer = run("verify", "--night", NIGHT, "--home", str(demo))
    assert answer.code == 1
    assert answer.out.startswith("orders: Late caller's milk-loaf: 3 are ordered for Thu 07:30")


def test_what_cannot_be_verified_is_refused(run: Run, demo: Path, plan: Path, documents: Path, tmp_path: Path) -> None:
    """Bad input: no such file or night, no plan, the wrong document, words that contradict one another; ends with 2."""
    orders, big = str(documents / "orders.toml"), tmp_path / "big.json"
    with big.open("wb") as file:
        file.truncate(200_000_000)
    asked = {
        "there is no such file": ("verify", str(tmp_path / "nothing.json")),
        "is no valid JSON": ("verify", orders),
        "has 200 MB; a plan has 67 MB at most": ("verify", str(big)),
        "is a document of kind orders; --kitchen takes a kitchen": ("verify", str(plan), "--kitchen", orders),
        "is a document of kind orders; --formulas takes formulas": ("verify", str(plan), "--formulas", orders),
        "go with a plan in a file": ("verify", "--orders", orders, "--home", str(demo)),
        "--night names a plan in the store": ("verify", str(plan), "--night", NIGHT),
        "there is no plan for the night to 2020-01-01": ("verify", "--night", "2020-01-01", "--home", str(demo)),
    }
    for said, words in asked.items():
        answer = run(*words)
        assert (answer.code, said in answer.err) == (2, True), (words, answer.err)
        assert len(answer.err.strip().splitlines()) == 1
