"""Start smallhours on a machine that has nothing but Python.

    python3 start.py                   plan the coming night and show it
    python3 start.py COMMAND ...       run one command of smallhours, such as: plan --json
    python3 start.py --test ...        install what the tests need and run every check

The first start makes an environment of its own in .venv and fills it from the hash-locked list in requirements/.
Later starts find the environment ready and go straight on. Everything else on the line is passed on: to smallhours,
or after --test to pytest.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - this very file has to say so, hence it is written in old grammar
    sys.exit("smallhours needs Python 3.11 or newer, and this is Python %d.%d." % sys.version_info[:2])  # noqa: UP031

import contextlib
import hashlib
import importlib.util
import json
import os
import re
import shlex
import shutil
import subprocess
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

LAYOUT_NUMBER = 1
"""Raised when this file begins to fill the environment differently, so that older environments are made anew."""

SECONDS_BETWEEN_LINES = 10.0
"""How often a sign of life is printed where a line cannot be redrawn (a log file)."""


class Trouble(Exception):
    """What stops the start, as one sentence for the person at the terminal."""


@dataclass(frozen=True)
class Place:
    """Where things lie: a checkout, and the environment made beside it."""

    root: Path
    windows: bool = os.name == "nt"

    @property
    def venv(self) -> Path:
        return self.root / ".venv"

    @property
    def scripts(self) -> Path:
        return self.venv / ("Scripts" if self.windows else "bin")

    @property
    def python(self) -> Path:
        return self.scripts / ("python.exe" if self.windows else "python")

    @property
    def stamp(self) -> Path:
        """Says that start.py made the environment, and from what; without the hashes it is unfinished."""
        return self.venv / "smallhours-start.json"

    def lock(self, name: str) -> Path:
        return self.root / "requirements" / (name + ".lock")

    def site_packages(self, version: str) -> Path:
        if self.windows:
            return self.venv / "Lib" / "site-packages"
        return self.venv / "lib" / ("python" + version) / "site-packages"


# --- what is there, and what has to be done --------------------------------------------------------------------------


def fingerprint(path: Path) -> str:
    """Hash of a lock file; line ends are evened out, because a checkout may have changed them."""
    try:
        text = path.read_bytes()
    except FileNotFoundError:
        raise Trouble(f"{path} is missing; this copy of smallhours is not complete, so fetch it again.") from None
    return hashlib.sha256(text.replace(b"\r\n", b"\n")).hexdigest()


def read_stamp(place: Place) -> dict[str, str] | None:
    """What the environment was made from; empty when its making was broken off, None when start.py did not make it."""
    try:
        found = json.loads(place.stamp.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None
    except (OSError, ValueError):
        return {}
    return {str(k): str(v) for k, v in found.items()} if isinstance(found, dict) else {}


def write_stamp(place: Place, content: dict[str, str]) -> None:
    """Replace the stamp in one step, so that it is never half written."""
    beside = place.stamp.with_suffix(".new")
    beside.write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")
    os.replace(beside, place.stamp)


def wanted_stamp(place: Place, testing: bool, version: str | None) -> dict[str, str]:
    """What the stamp of a finished environment says."""
    wanted = {
        "layout": str(LAYOUT_NUMBER),
        "folder": str(place.venv),
        "python": version or "",
        "run": fingerprint(place.lock("run")),
    }
    if testing:
        wanted["dev"] = fingerprint(place.lock("dev"))
    return wanted


def work_to_do(found: dict[str, str] | None, wanted: dict[str, str]) -> str:
    """Compare two stamps: ``nothing``, ``add`` the packages of the tests, or ``build`` the environment from scratch.

    An unfinished or outdated environment is never patched: a package that was being unpacked when the power went can
    look complete to pip.
    """
    if not found or any(found.get(key) != wanted[key] for key in ("layout", "folder", "python", "run")):
        return "build"
    if "dev" not in wanted or found.get("dev") == wanted["dev"]:
        return "nothing"
    return "build" if "dev" in found else "add"


def version_of(python: Path) -> str | None:
    """Ask an interpreter for its version, as in ``3.11``; None when it does not run (removed, or moved away)."""
    question = "import sys; print('%d.%d' % sys.version_info[:2])"
    with contextlib.suppress(OSError):
        answer = subprocess.run([str(python), "-I", "-S", "-c", question], capture_output=True, text=True, check=False)
        if answer.returncode == 0:
            return answer.stdout.strip()
    return None


def missing_module_sentence(find: Callable[[str], object], version: tuple[int, int]) -> str | None:
    """One sentence when this Python cannot make environments, else None.

    Debian and its kin ship Python without ``ensurepip`` and put it into a package of its own.
    """
    missing = [name for name in ("venv", "ensurepip") if not find(name)]
    if not missing:
        return None
    return (
        f"this Python cannot make an environment because its module {missing[0]} is not installed: on Debian or Ubuntu "
        f"install the package python3-venv (or python{version[0]}.{version[1]}-venv), then start again."
    )


# --- showing that something is happening -----------------------------------------------------------------------------


class Sign:
    """A phase on the screen: its name, the seconds so far, and what it is at."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.note = ""
        self.began = time.monotonic()
        self.live = sys.stderr.isatty()
        self.drawn = self.began
        self.turn = 0
        if not self.live:
            self._write(f"{title} ...\n")

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.began

    def tick(self) -> None:
        if self.live:
            self.turn += 1
            line = f"{'|/-'[self.turn % 3]} {self.title} {self.seconds:4.0f} s  {self.note}"
            self._write("\r" + self._fit(line))
        elif time.monotonic() - self.drawn >= SECONDS_BETWEEN_LINES:
            self.drawn = time.monotonic()
            self._write(f"  {self.seconds:.0f} s  {self.note}\n")

    def close(self, word: str = "done") -> None:
        if self.live:
            self._write("\r" + self._fit(f"{self.title}: {word}, {self.seconds:.1f} s") + "\n")
        else:
            self._write(f"  {word}, {self.seconds:.1f} s\n")

    def _fit(self, line: str) -> str:
        width = max(20, shutil.get_terminal_size().columns - 1)
        return line[:width].ljust(width)

    def _write(self, text: str) -> None:
        sys.stderr.write(text)
        sys.stderr.flush()


def watch(command: Sequence[str], title: str, notice: Callable[[str], str | None] = lambda line: None) -> None:
    """Run a command out of sight, with a moving sign; its last lines are shown when it fails.

    ``notice`` turns a line of its output into the note beside the sign, or None to leave the note as it is.
    """
    sign = Sign(title)
    lines: list[str] = []
    child = subprocess.Popen(
        list(command),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        env=child_env(),
    )

    def listen() -> None:
        for line in child.stdout or ():
            lines.append(line.rstrip())
            sign.note = notice(line) or sign.note

    listener = threading.Thread(target=listen, daemon=True)
    listener.start()
    try:
        while child.poll() is None:
            sign.tick()
            with contextlib.suppress(subprocess.TimeoutExpired):
                child.wait(0.2)
    except BaseException:
        child.terminate()
        child.wait()
        sign.close("stopped")
        raise
    listener.join(timeout=5)
    sign.close("done" if child.returncode == 0 else "failed")
    if child.returncode:
        said = "\n".join("    " + line for line in lines[-15:])
        raise Trouble(f"{title} failed (is this machine connected to the network?). The last it said:\n{said}")


def pip_notice(total: int) -> Callable[[str], str | None]:
    """Reader of pip's output: which package of how many it is fetching."""
    seen = 0

    def notice(line: str) -> str | None:
        nonlocal seen
        fetched = re.match(r"(?:Collecting|Requirement already satisfied:) ([A-Za-z0-9._-]+)", line)
        if fetched:
            seen += 1
            return f"{seen} of {total}: {fetched[1].partition('==')[0]}"
        return "unpacking" if line.startswith("Installing collected") else None

    return notice


# --- making the environment ------------------------------------------------------------------------------------------


def child_env() -> dict[str, str]:
    """This process's environment without what would lead another Python astray, or pip out of .venv or the lock."""
    astray = ("PYTHONHOME", "PYTHONPATH", "VIRTUAL_ENV", "PIP_TARGET", "PIP_PREFIX", "PIP_CONSTRAINT")
    ours = {"PIP_USER": "0", "PIP_DISABLE_PIP_VERSION_CHECK": "1"}
    return {name: value for name, value in os.environ.items() if name not in astray} | ours


def pip_command(place: Place, name: str) -> list[str]:
    """Install exactly what a lock lists, and nothing that would have to be built or that lacks its hash.

    Not compiled beforehand: most modules of the big packages are never imported, and Python compiles those that are.
    """
    flags = ["--require-hashes", "--only-binary", ":all:", "--no-compile", "--no-input", "--progress-bar", "off"]
    return [str(place.python), "-m", "pip", "install", *flags, "-r", str(place.lock(name))]


def packages_in(lock: Path) -> int:
    return len(re.findall(r"(?m)^[A-Za-z0-9][A-Za-z0-9._-]*==", lock.read_text(encoding="utf-8")))


def clear(place: Place) -> None:
    """Empty .venv but for the stamp, which goes on saying that the folder is ours to empty."""
    place.venv.mkdir(exist_ok=True)
    if read_stamp(place) is None and any(place.venv.iterdir()):
        raise Trouble(f"{place.venv} was not made by start.py; move or delete it, then start again.")
    write_stamp(place, {})
    try:
        for entry in place.venv.iterdir():
            if entry == place.stamp:
                continue
            remove = shutil.rmtree if entry.is_dir() and not entry.is_symlink() else os.unlink
            remove(entry)
    except OSError as error:
        raise Trouble(f"{place.venv} is in use or protected ({error}); close what uses it, then start again.") from None


def add_smallhours(place: Place, version: str) -> None:
    """Make ``import smallhours`` and the command ``smallhours`` work in .venv, without building anything."""
    packages = place.site_packages(version)
    # Relative, because Python reads this file in the machine's own encoding, and the path above may hold any letter.
    source = os.path.relpath(place.root / "src", packages)
    (packages / "smallhours.pth").write_text(source + "\n", encoding="ascii")
    if place.windows:
        (place.scripts / "smallhours.cmd").write_text('@"%~dp0python.exe" -m smallhours %*\n', encoding="ascii")
        return
    script = place.scripts / "smallhours"
    script.write_text(f'#!/bin/sh\nexec {shlex.quote(str(place.python))} -m smallhours "$@"\n', encoding="utf-8")
    script.chmod(0o755)


def prepare(place: Place, testing: bool) -> None:
    """See to it that .venv holds what the locks say; quick when it does already."""
    found = read_stamp(place)
    version = version_of(place.python) if found else None
    wanted = wanted_stamp(place, testing, version)
    work = work_to_do(found, wanted)
    if work == "nothing":
        return
    if work == "build":
        sentence = missing_module_sentence(importlib.util.find_spec, sys.version_info[:2])
        if sentence:
            raise Trouble(sentence)
        clear(place)
        make = [sys.executable, "-m", "venv", str(place.venv)]
        watch(make, "Making an environment in .venv")
        version = version_of(place.python)
        if version is None:
            raise Trouble(f"{place.python} was made but does not run; delete {place.venv} and start again.")
    write_stamp(place, {})
    lock = "dev" if testing else "run"
    count = packages_in(place.lock(lock))
    watch(pip_command(place, lock), f"Installing up to {count} packages", pip_notice(count))
    add_smallhours(place, str(version))
    write_stamp(place, wanted_stamp(place, testing, version))


# --- handing over ----------------------------------------------------------------------------------------------------


def job_command(place: Place, arguments: Sequence[str]) -> list[str]:
    """The command to hand over to: the one named first on the line, or ``start``."""
    named = bool(arguments) and not arguments[0].startswith("-")
    return [str(place.python), "-m", "smallhours", *([] if named else ["start"]), *arguments]


def check_commands(place: Place, arguments: Sequence[str]) -> list[tuple[str, list[str]]]:
    """Every check, in order; pytest is last, so that its summary ends the output."""
    python = str(place.python)
    lint_imports = "import sys; from importlinter.cli import lint_imports_command; sys.exit(lint_imports_command())"
    return [
        ("ruff check", [python, "-m", "ruff", "check", "."]),
        ("ruff format", [python, "-m", "ruff", "format", "--check", "."]),
        ("import layers", [python, "-c", lint_imports]),
        ("mypy", [python, "-m", "mypy", "src", "start.py"]),
        ("pytest", [python, "-m", "pytest", "-n", "2", *arguments]),
    ]


def run_checks(place: Place, arguments: Sequence[str]) -> int:
    """Run every check, also after one has failed; 1 when any did."""
    failed: list[str] = []
    for title, command in check_commands(place, arguments):
        if title == "pytest" and failed:
            print("FAILED before the tests: " + ", ".join(failed), flush=True)
        print(f"--- {title}", flush=True)
        if subprocess.run(command, cwd=place.root, env=child_env(), check=False).returncode:
            failed.append(title)
    return 1 if failed else 0


def hand_over(command: list[str]) -> int:
    """Become the command; on Windows, where a process cannot, run it and answer for it."""
    sys.stdout.flush()
    if os.name != "nt":
        os.execve(command[0], command, child_env())
    child = subprocess.Popen(command, env=child_env())
    while True:
        # Ctrl-C reaches the child too; it decides what to do about it.
        with contextlib.suppress(KeyboardInterrupt):
            return child.wait()


def main(arguments: Sequence[str], place: Place) -> int:
    if arguments and arguments[0] in ("-h", "--help"):
        print(__doc__.strip())
        return 0
    testing = "--test" in arguments
    passed_on = [word for word in arguments if word != "--test"]
    try:
        prepare(place, testing)
        return run_checks(place, passed_on) if testing else hand_over(job_command(place, passed_on))
    except (Trouble, OSError) as trouble:
        print(f"smallhours: {trouble}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("smallhours: stopped; the next start does over what was not finished.", file=sys.stderr)
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:], Place(Path(__file__).resolve().parent)))
