"""Each rule of the house, shown something bad, complains; shown the good counterpart, it does not."""

from __future__ import annotations

import pytest

from house import changes, evidence, locks, science, shape, tables, words

HASH = "0123456789abcdef" * 4

GOOD_RELATION = '''
def heat_j(mass_g: float, rise_k: float) -> float:
    """What does warming take?

    Parameters: mass [g], rise [K]. Returns the heat [J].

    Source: first law of thermodynamics.
    """
    return 3.0 * mass_g * rise_k
'''


def test_long_file():
    """Limit: at the limit a file passes, one line more fails."""
    assert shape.long_files("a.py", "x\n" * 400) == []
    assert shape.long_files("a.py", "x\n" * 401) == ["a.py: 401 lines, at most 400"]


def test_long_function():
    """Hand: def + 39 lines = 40 passes with any docstring; one more fails, also in a method and a nested function."""
    docstring = '    """One.\n\n    Two.\n    """\n'
    assert shape.long_functions("a.py", "def f():\n" + docstring + "    x = 1\n" * 39) == []
    assert shape.long_functions("a.py", "def f():\n" + docstring + "    x = 1\n" * 40) == [
        "a.py:f: 41 lines, at most 40"
    ]
    method = "class C:\n    def f(self):\n" + "        x = 1\n" * 40
    assert shape.long_functions("a.py", method) == ["a.py:C.f: 41 lines, at most 40"]
    inner = "if True:\n    def f():\n        def g():\n" + "            x = 1\n" * 40
    assert len(shape.long_functions("a.py", inner)) == 2


@pytest.mark.parametrize("name", ["src/utils.py", "src/dough_helpers.py", "src/common/x.py", "src/order_manager.py"])
def test_drawer(name):
    """Bad input: a module, a folder or the last word of a name that says nothing is found."""
    assert len(shape.drawers(name, "")) == 1


def test_names_that_only_contain_a_drawer_pass():
    """Limit: what merely contains such a word says more than the word."""
    assert shape.drawers("src/manage_orders.py", "") == []
    assert shape.drawers("src/common_salt.py", "") == []


@pytest.mark.parametrize("raised", ["NotImplementedError", "NotImplementedError('later')"])
def test_stub(raised):
    """Bad input: a function that only promises is found; one that raises anything else is not."""
    assert shape.stubs("a.py", f"def f():\n    raise {raised}\n") == ["a.py:f: is not written yet"]
    assert shape.stubs("a.py", "def f():\n    raise ValueError\n") == []


def test_good_relation_passes():
    """Limit: a relation with source, units and unit suffixes draws no complaint."""
    assert science.undocumented("s.py", GOOD_RELATION) == []
    assert science.without_unit("s.py", GOOD_RELATION) == []


def test_relation_without_source_or_unit():
    """Bad input: taking away the source, or the units, or all of the docstring is noticed."""
    without_source = GOOD_RELATION.replace("Source:", "Idea:")
    without_units = GOOD_RELATION.replace(" [g]", "").replace(" [K]", "").replace(" [J]", "")
    assert ["names no source" in c for c in science.undocumented("s.py", without_source)] == [True]
    assert ["names no unit" in c for c in science.undocumented("s.py", without_units)] == [True]
    assert len(science.undocumented("s.py", "def f(a_g: float) -> float:\n    return a_g\n")) == 2


def test_private_relations_guards_and_functions_without_numbers_are_free():
    """Limit: the docstring rule is for what others call to get a number that they did not have."""
    assert science.undocumented("s.py", "def checked_mass_g(mass_g: float) -> float:\n    return mass_g\n") == []
    assert science.undocumented("s.py", "def _f(a_g: float) -> float:\n    return a_g\n") == []
    assert science.undocumented("s.py", "def name_of(kind: str) -> str:\n    return kind\n") == []


@pytest.mark.parametrize(
    "text",
    [
        "def f(mass: float): ...",
        "def f(*, temperature: float | None = None): ...",
        "def f(g: float): ...",
        "def f(masses: Sequence[float]): ...",
        "def f(heat_capacity: NDArray[np.float64]): ...",
        "class Slab:\n    thickness: float",
        "class Slab:\n    def warm(self, by: float): ...",
    ],
)
def test_number_without_unit(text):
    """Bad input: a bare number without a unit at the end of its name is found wherever a caller has to give it."""
    assert len(science.without_unit("s.py", text)) == 1


@pytest.mark.parametrize(
    "text",
    [
        "def f(heat_capacity_j_per_g_k: float): ...",
        "def f(relation: Callable[[float], float]): ...",
        "def f(pieces: int, name: str): ...",
        "def _f(mass: float): ...",
        "def checked_positive(value: float): ...",
        "class Fat:\n    melting_curve: tuple[tuple[float, float], ...]",
        "class _Hidden:\n    mass: float",
    ],
)
def test_number_with_unit_or_none_needed(text):
    """Limit: suffixed numbers, counts, functions and private names pass."""
    assert science.without_unit("s.py", text) == []


@pytest.mark.parametrize(
    "docstring", ["", '"""Checks the oven."""', '"""Limit:"""', '"""limit: none."""', '"""Maybe: x."""']
)
def test_test_without_kind(docstring):
    """Bad input: no docstring, no kind, nothing after the kind, the kind misspelt, an unknown kind."""
    assert (
        len(evidence.without_kind("t.py", f"class T:\n    def test_x(self):\n        {docstring}\n        assert 1"))
        == 1
    )


def test_test_with_kind():
    """Limit: every kind passes, and what is no test needs none."""
    for kind in evidence.KINDS:
        assert evidence.without_kind("t.py", f'def test_x():\n    """{kind}: so it is."""') == []
    assert evidence.without_kind("t.py", "def oven(): pass") == []


@pytest.mark.parametrize(
    "text",
    [
        "@pytest.mark.skip\ndef test_x(): pass",
        "@pytest.mark.skipif(True, reason='')\ndef test_x(): pass",
        "@pytest.mark.xfail()\ndef test_x(): pass",
        "def test_x():\n    pytest.skip('later')",
    ],
)
def test_skipped_test(text):
    """Bad input: a test that is kept from running is found however it is done."""
    assert len(evidence.skipped("t.py", text)) == 1


@pytest.mark.parametrize("folder", ["work", "tmp", "root", "home", "Users"])
def test_path_of_a_machine(folder):
    """Bad input: a path of one machine is found; a relative one, or part of an address, is not."""
    assert words.machine_paths("a.md", f"see\n{'/' + folder}/orders.csv") == [
        f"a.md:2: names the path '/{folder}/orders'"
    ]
    assert words.machine_paths("a.md", f"see {folder}/orders.csv and ~/{folder}/x and example.org/{folder}/x") == []


def test_promise():
    """Bad input: a mark of work left over is found; the word in another spelling is not."""
    mark = "TO" + "DO"
    assert words.promises("a.py", f"x = 1  # {mark}: two\n") == [f"a.py:1: leaves a {mark}"]
    assert words.promises("a.py", "what to do next, and todos los panes") == []


def test_lock_with_an_address():
    """Bad input: an index or a direct download in a lock is found."""
    assert len(words.addresses("run.lock", "--index-url https:" + "//packages.invalid/simple\n")) == 1


def test_loose_lock():
    """Bad input: a range, a missing hash and a bare option are found; a pinned and hashed entry passes."""
    tight = f"apple==1.0 ; sys_platform == 'win32' \\\n    --hash=sha256:{HASH} \\\n    --hash=sha256:{HASH}\n"
    assert locks.loose("l", tight) == []
    assert locks.loose("l", tight + "pear>=2\n") == ["l:4: 'pear>=2' is not pinned with =="]
    assert locks.loose("l", tight + "pear==2\n") == ["l: pear has no hash"]
    assert len(locks.loose("l", "-e .\n" + tight)) == 1


def test_lock_lacks_or_disagrees():
    """Bad input: a package asked for but not locked, and one locked to two versions, are found."""
    entry = f"{{}}=={{}} \\\n    --hash=sha256:{HASH}\n"
    run, dev = entry.format("Apple_Pie", "1"), entry.format("apple-pie", "2")
    assert locks.unlocked("l", run, ["apple.pie>=1,<2", "pear[extra]>=3"]) == ["l: lacks pear"]
    assert locks.disagreements(run.replace("Apple_Pie", "apple-pie"), dev) == ["apple-pie: 1 to run, 2 to test"]
    assert locks.disagreements(dev, dev) == []


def test_table_without_side_car(tmp_path):
    """Bad input: a table alone, one with a torn side-car and one without a title are found; a whole pair passes."""
    for name in ("alone", "torn", "untitled", "whole"):
        (tmp_path / f"{name}.csv").write_text("name,mass_g\n")
    (tmp_path / "torn.toml").write_text("title = ")
    (tmp_path / "untitled.toml").write_text("key = 'name'")
    (tmp_path / "whole.toml").write_text("title = 'Masses'")
    complaints = tables.without_side_car(tmp_path)
    assert [c.split(".")[0] for c in complaints] == ["alone", "torn", "untitled"]


def test_misnamed_change_note():
    """Bad input: an unknown kind, an odd name and a note that is no sentence are found."""
    assert len(changes.misnamed("changes/oven.broke.md", "It broke.")) == 1
    assert len(changes.misnamed("changes/Oven Door.fixed.md", "It closes.")) == 1
    assert len(changes.misnamed("changes/oven.fixed.md", "door")) == 1
    assert changes.misnamed("changes/oven.fixed.md", "The oven door closes.\n") == []
