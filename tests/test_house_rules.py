"""The rules of the house, over the whole tree; that each rule can fail is shown in house/test_rules_can_fail.py."""

from __future__ import annotations

import tomllib
from collections.abc import Callable

import pytest

from house import changes, evidence, exceptions, locks, science, shape, tables, tree, words

SRC = tree.sources("src")
TESTS = tree.sources("tests")
TOOLS = tree.sources("start.py", "bench")
PYTHON = SRC | TESTS | TOOLS
SCIENCE = {name: text for name, text in SRC.items() if name.startswith("src/smallhours/science/")}
TEST_FILES = {name: text for name, text in TESTS.items() if name.rpartition("/")[2].startswith("test_")}

Rule = Callable[[str, str], list[str]]


def _hold(rule: Rule, files: dict[str, str], allowed: dict[str, str] | None = None) -> None:
    """Fail with the complaints of a rule that no exception covers, and with the exceptions that cover nothing."""
    complaints = [complaint for name, text in files.items() for complaint in rule(name, text)]
    excused = allowed or {}
    left = [c for c in complaints if not any(c.startswith(name + ":") for name in excused)]
    unused = [name for name in excused if not any(c.startswith(name + ":") for c in complaints)]
    wrong = left + [f"{name}: the exception is no longer needed" for name in unused]
    if wrong:
        pytest.fail("\n".join(wrong), pytrace=False)


def test_an_exception_covers_only_what_it_names():
    """Bad input: a complaint without exception, one under another name, and an idle exception each fail."""
    long = {"a.py": "x = 1\n" * 401}
    _hold(shape.long_files, long, {"a.py": "a table"})
    for allowed in ({}, {"b.py": "another"}, {"a.py": "a table", "b.py": "idle"}):
        with pytest.raises(pytest.fail.Exception):
            _hold(shape.long_files, long, allowed)


def test_the_walk_finds_the_tree():
    """Behaviour: the rules look at something; an empty walk would let everything pass."""
    assert "src/smallhours/errors.py" in SRC
    assert "tests/test_house_rules.py" in TEST_FILES
    assert "start.py" in TOOLS
    assert {"LICENSE", "pyproject.toml", ".ci/run"} <= set(tree.texts())


def test_files_are_short():
    """Behaviour: no Python file is longer than a person reads in one sitting."""
    _hold(shape.long_files, PYTHON, exceptions.LONG_FILES)


def test_functions_are_short():
    """Behaviour: no function is longer than a screen, its docstring not counted."""
    _hold(shape.long_functions, PYTHON, exceptions.LONG_FUNCTIONS)


def test_names_say_what_is_inside():
    """Behaviour: no module and no folder is a drawer."""
    _hold(shape.drawers, PYTHON)


def test_nothing_is_a_stub():
    """Behaviour: no function only promises."""
    _hold(shape.stubs, SRC | TOOLS)


def test_science_names_its_sources_and_units():
    """Behaviour: whoever reads a relation can look it up."""
    _hold(science.undocumented, SCIENCE)


def test_science_parameters_end_in_their_unit():
    """Behaviour: no caller has to guess whether a number is grams or kilograms."""
    _hold(science.without_unit, SCIENCE, exceptions.PARAMETERS_WITHOUT_UNIT)


def test_every_test_says_its_kind():
    """Behaviour: a reader sees what a test rests on before reading it."""
    _hold(evidence.without_kind, TEST_FILES)


def test_every_test_runs():
    """Behaviour: no test is skipped."""
    _hold(evidence.skipped, TESTS, exceptions.SKIPPED_TESTS)


def test_no_paths_of_one_machine():
    """Behaviour: the files mean the same on every machine."""
    _hold(words.machine_paths, tree.texts(), exceptions.PATHS_OF_A_MACHINE)


def test_no_work_left_over():
    """Behaviour: no file ends in a promise."""
    _hold(words.promises, tree.texts())


@pytest.mark.parametrize(("lock", "extras"), [("run", ()), ("dev", ("dev",))])
def test_locks_are_tight(lock, extras):
    """Behaviour: every package is pinned with its hashes, from no fixed address, and all that is asked for is there."""
    name = f"requirements/{lock}.lock"
    text = (tree.ROOT / name).read_text(encoding="utf-8")
    project = tomllib.loads((tree.ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = project["dependencies"] + [a for extra in extras for a in project["optional-dependencies"][extra]]
    _hold(words.addresses, {name: text})
    _hold(locks.loose, {name: text})
    assert not locks.unlocked(name, text, asked)


def test_what_is_tested_is_what_runs():
    """Behaviour: the tests run with the very versions that the job runs with."""
    run, dev = ((tree.ROOT / "requirements" / f"{name}.lock").read_text(encoding="utf-8") for name in ("run", "dev"))
    assert not locks.disagreements(run, dev)


def test_tables_have_side_cars():
    """Behaviour: no number from outside stands without its description."""
    assert not tables.without_side_car(tree.ROOT / "src" / "smallhours" / "reference" / "tables")


def test_change_notes_are_named_by_kind():
    """Behaviour: every change note can be compiled into the changelog."""
    _hold(changes.misnamed, {n: t for n, t in tree.texts().items() if n.startswith("changes/")})
