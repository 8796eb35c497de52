"""The bootstrap: what it decides, what it says, and the environment it makes."""

from __future__ import annotations

import ast
import importlib.util
import io
import subprocess
import sys
import venv
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parent.parent


def _load() -> ModuleType:
    spec = importlib.util.spec_from_file_location("start_under_test", ROOT / "start.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


start = _load()


@pytest.fixture
def place(tmp_path: Path):
    """A checkout in a folder whose name has a space and letters beyond ASCII, with tiny locks."""
    root = tmp_path / "die Bäckerei"
    (root / "requirements").mkdir(parents=True)
    (root / "src" / "smallhours").mkdir(parents=True)
    apple, pear = "apple==1 \\\n    --hash=sha256:00\n", "pear==2 \\\n    --hash=sha256:11\n"
    (root / "requirements" / "run.lock").write_text(apple)
    (root / "requirements" / "dev.lock").write_text(apple + pear)
    return start.Place(root)


def test_finished_environment_is_left_alone(place):
    """Behaviour: when the stamp says what is wanted there is nothing to do, with and without the tests' packages."""
    run = start.wanted_stamp(place, False, "3.11")
    dev = start.wanted_stamp(place, True, "3.11")
    assert start.work_to_do(run, run) == "nothing"
    assert start.work_to_do(dev, dev) == "nothing"
    assert start.work_to_do(dev, run) == "nothing", "the packages of the tests do no harm to the job"


def test_what_the_tests_need_is_added_to_a_finished_environment(place):
    """Behaviour: an environment made for the job gains the tests' packages instead of being made anew."""
    run = start.wanted_stamp(place, False, "3.11")
    assert start.work_to_do(run, start.wanted_stamp(place, True, "3.11")) == "add"


@pytest.mark.parametrize("key", ["layout", "folder", "python", "run"])
def test_any_difference_that_matters_builds_anew(place, key):
    """Behaviour: another lock, folder, interpreter or layout means a new environment."""
    run = start.wanted_stamp(place, False, "3.11")
    assert start.work_to_do(run | {key: "other"}, run) == "build"


def test_absent_or_unfinished_environment_is_built(place):
    """Behaviour: no stamp, an empty one (the making was broken off) and one for older tests all lead to building."""
    dev = start.wanted_stamp(place, True, "3.11")
    assert start.work_to_do(None, dev) == "build"
    assert start.work_to_do({}, dev) == "build"
    assert start.work_to_do(dev | {"dev": "older"}, dev) == "build"


def test_changed_lock_changes_the_fingerprint_and_line_ends_do_not(place):
    """Behaviour: the stamp follows what a lock says, not how a checkout ends its lines."""
    lock = place.lock("run")
    before = start.fingerprint(lock)
    lock.write_bytes(lock.read_bytes().replace(b"\n", b"\r\n"))
    assert start.fingerprint(lock) == before
    lock.write_bytes(lock.read_bytes().replace(b"00", b"01"))
    assert start.fingerprint(lock) != before


def test_missing_lock_is_one_sentence(tmp_path):
    """Bad input: a copy without its lock files is named as such."""
    with pytest.raises(start.Trouble, match=r"run\.lock is missing"):
        start.wanted_stamp(start.Place(tmp_path), False, None)


def test_stamp_round_trip(place):
    """Round trip: a stamp reads back as it was written."""
    place.venv.mkdir()
    assert start.read_stamp(place) is None
    start.write_stamp(place, {"run": "abc"})
    assert start.read_stamp(place) == {"run": "abc"}


@pytest.mark.parametrize("torn", ["", "{", "[1]", "\x00"])
def test_torn_stamp_counts_as_unfinished(place, torn):
    """Bad input: a stamp torn by a power cut is ours but says nothing."""
    place.venv.mkdir()
    place.stamp.write_text(torn)
    assert start.read_stamp(place) == {}


def test_broken_off_environment_is_emptied_and_stays_ours(place):
    """Behaviour: what an interrupted start left is cleared; being interrupted in that too leaves a folder we know."""
    (place.venv / "lib" / "half").mkdir(parents=True)
    (place.venv / "pyvenv.cfg").write_text("home = nowhere")
    start.write_stamp(place, {"run": "abc"})
    start.clear(place)
    assert [entry.name for entry in place.venv.iterdir()] == [place.stamp.name]
    assert start.read_stamp(place) == {}


def test_foreign_environment_is_not_touched(place):
    """Bad input: a .venv that start.py did not make is refused, and left as it was."""
    place.venv.mkdir()
    (place.venv / "precious.txt").write_text("keep")
    with pytest.raises(start.Trouble, match="not made by start"):
        start.clear(place)
    assert (place.venv / "precious.txt").read_text() == "keep"


@pytest.mark.parametrize("missing", ["venv", "ensurepip"])
def test_missing_venv_names_the_debian_package(missing):
    """Bad input: a Python without venv or ensurepip is explained in one sentence that names the package."""
    sentence = start.missing_module_sentence(lambda name: name != missing, (3, 11))
    assert missing in sentence
    assert "python3-venv" in sentence
    assert "python3.11-venv" in sentence
    assert sentence.count(".") == 2, "one in the package name, one at the end of the only sentence"


def test_complete_python_has_nothing_to_explain():
    """Limit: with both modules there is no sentence."""
    assert start.missing_module_sentence(lambda name: object(), (3, 13)) is None


def test_missing_venv_stops_the_start_before_anything_is_made(place, monkeypatch, capsys):
    """Bad input: the whole start ends with status 2 and the sentence, and leaves no .venv behind."""
    monkeypatch.setattr(start.importlib.util, "find_spec", lambda name: None)
    assert start.main([], place) == 2
    assert "python3-venv" in capsys.readouterr().err
    assert not place.venv.exists()


def test_install_is_hash_locked_and_builds_nothing(place):
    """Behaviour: pip is held to the lock and to ready-made wheels, and is told no place to download from."""
    command = start.pip_command(place, "run")
    assert command[:4] == [str(place.python), "-m", "pip", "install"]
    assert "--require-hashes" in command
    assert command[command.index("--only-binary") + 1] == ":all:"
    assert command[-2:] == ["-r", str(place.lock("run"))]
    assert not [word for word in command if "://" in word]


def test_settings_that_lead_astray_are_dropped(monkeypatch):
    """Behaviour: settings that send pip or Python elsewhere do not reach the environment; others, like a proxy, do."""
    monkeypatch.setenv("PIP_TARGET", "elsewhere")
    monkeypatch.setenv("PYTHONPATH", "elsewhere")
    monkeypatch.setenv("PIP_PROXY", "proxy.invalid:3128")
    env = start.child_env()
    assert "PIP_TARGET" not in env
    assert "PYTHONPATH" not in env
    assert env["PIP_PROXY"] == "proxy.invalid:3128"


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ([], ["start"]),
        (["--home", "a b", "--port", "8123"], ["start", "--home", "a b", "--port", "8123"]),
        (["plan", "--json"], ["plan", "--json"]),
    ],
)
def test_words_on_the_line_are_passed_on(place, given, expected):
    """Behaviour: options go to ``start``; a line that names a command of smallhours runs that command."""
    assert start.job_command(place, given) == [str(place.python), "-m", "smallhours", *expected]


def test_windows_paths(tmp_path):
    """Behaviour: on Windows the interpreter and the packages lie where Windows has them."""
    place = start.Place(tmp_path, windows=True)
    assert place.python == tmp_path / ".venv" / "Scripts" / "python.exe"
    assert place.site_packages("3.12") == tmp_path / ".venv" / "Lib" / "site-packages"


def test_pytest_comes_last_and_gets_the_arguments(place):
    """Behaviour: the last check is pytest, so that its summary is the last line; arguments go to it alone."""
    titles = [title for title, _ in start.check_commands(place, ["-k", "oven"])]
    assert titles == ["ruff check", "ruff format", "import layers", "mypy", "pytest"]
    commands = dict(start.check_commands(place, ["-k", "oven"]))
    assert commands["pytest"][-4:] == ["-n", "2", "-k", "oven"]
    assert "-k" not in commands["mypy"]


@pytest.mark.parametrize(("codes", "expected"), [([0, 0, 0, 0, 0], 0), ([0, 1, 0, 0, 0], 1), ([0, 0, 0, 0, 5], 1)])
def test_any_failing_check_fails_the_whole(place, monkeypatch, capsys, codes, expected):
    """Behaviour: every check runs, one that fails is named before the tests begin, and the status is not 0."""
    ran = []

    def fake_run(command, **options):
        ran.append(command)
        return subprocess.CompletedProcess(command, codes[len(ran) - 1])

    monkeypatch.setattr(start.subprocess, "run", fake_run)
    assert start.run_checks(place, []) == expected
    assert len(ran) == 5
    assert ("ruff format" in capsys.readouterr().out.split("FAILED before the tests:")[-1].split("\n")[0]) == codes[1]


def test_smallhours_is_importable_from_an_odd_path(place):
    """Behaviour: in a real environment, in a folder with a space and an umlaut, the module and the command both run."""
    (place.root / "src" / "smallhours" / "__init__.py").write_text("")
    (place.root / "src" / "smallhours" / "__main__.py").write_text("import sys; print(sys.argv[1:])")
    venv.create(place.venv, with_pip=False)
    version = start.version_of(place.python)
    assert version == f"{sys.version_info[0]}.{sys.version_info[1]}"
    start.add_smallhours(place, version)
    by_module = subprocess.run(start.job_command(place, ["a b"]), capture_output=True, text=True, check=True)
    name = "smallhours.cmd" if place.windows else "smallhours"
    by_name = subprocess.run([place.scripts / name, "a b"], capture_output=True, text=True, check=True)
    assert by_module.stdout == by_name.stdout == "['a b']\n"


def test_vanished_interpreter_is_noticed(place):
    """Bad input: an environment whose Python was removed has no version, so it is built anew."""
    assert start.version_of(place.python) is None


def test_pip_output_becomes_a_count():
    """Behaviour: the note beside the sign counts packages and says when pip begins to unpack."""
    notice = start.pip_notice(34)
    assert notice("Collecting numpy==2.4.6 (from -r run.lock (line 1))") == "1 of 34: numpy"
    assert notice("  Downloading numpy-2.4.6-cp311.whl (16 MB)") is None
    assert notice("Collecting tomli-w==1.2.0") == "2 of 34: tomli-w"
    assert notice("Installing collected packages: numpy, tomli-w") == "unpacking"


def test_failing_step_shows_its_last_words(capfd):
    """Bad input: a step that fails ends the start with what the step said last."""
    with pytest.raises(start.Trouble, match=r"(?s)Weighing failed.*no scale here"):
        start.watch([sys.executable, "-c", "print('no scale here'); raise SystemExit(3)"], "Weighing")
    assert "failed" in capfd.readouterr().err


def test_progress_is_printed_where_lines_cannot_be_redrawn(monkeypatch):
    """Behaviour: in a log file a phase prints its name, a sign of life now and then, and its seconds."""
    out = io.StringIO()
    monkeypatch.setattr(start.sys, "stderr", out)
    monkeypatch.setattr(start, "SECONDS_BETWEEN_LINES", 0.0)
    sign = start.Sign("Mixing")
    sign.note = "3 of 9"
    sign.tick()
    sign.close()
    lines = out.getvalue().splitlines()
    assert lines[0] == "Mixing ..."
    assert lines[1].endswith("s  3 of 9")
    assert lines[2].startswith("  done, ")


def test_older_python_can_read_the_file_and_is_told():
    """Bad input: the file parses under older grammars, and its first statements tell an older Python what is needed."""
    source = (ROOT / "start.py").read_text(encoding="utf-8")
    tree = ast.parse(source, feature_version=(3, 7))
    guard = source[: source.index("import contextlib")]
    script = f"import sys\nsys.version_info = (3, 9, 1)\nsys.modules['sys'] = sys\n{guard}\nprint('went on')"
    answer = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert isinstance(tree.body[2], ast.If)
    assert answer.returncode == 1
    assert answer.stderr.strip() == "smallhours needs Python 3.11 or newer, and this is Python 3.9."


def test_only_the_standard_library_is_imported():
    """Behaviour: the bootstrap imports nothing that a bare Python lacks."""
    tree = ast.parse((ROOT / "start.py").read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert {name.split(".")[0] for name in names} <= sys.stdlib_module_names
