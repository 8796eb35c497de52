"""Which files the rules look at."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent

NOT_OURS = frozenset({"__pycache__", "build", "dist", "sheets-out", "node_modules"})
"""Folders that hold what tools leave behind; so do all folders with a leading dot, except .ci."""


def files(*tops: str) -> Iterator[Path]:
    """Every file below the given places, relative to the checkout; ``"."`` is all of it."""
    for top in tops:
        start = ROOT / top
        if start.is_file():
            yield Path(top)
        elif start.is_dir():
            yield from _walk(start)


def _walk(folder: Path) -> Iterator[Path]:
    for entry in sorted(folder.iterdir()):
        if not entry.is_dir():
            yield entry.relative_to(ROOT)
        elif entry.name == ".ci" or not (entry.name in NOT_OURS or entry.name.startswith(".") or _leftover(entry)):
            yield from _walk(entry)


def _leftover(folder: Path) -> bool:
    return folder.name.endswith(".egg-info") or (folder / "pyvenv.cfg").exists()


def sources(*tops: str) -> dict[str, str]:
    """Name and text of every Python file below the given places, written migrations excepted."""
    return {
        path.as_posix(): (ROOT / path).read_text(encoding="utf-8")
        for path in files(*tops)
        if path.suffix == ".py" and "migrations" not in path.parts
    }


def texts() -> dict[str, str]:
    """Name and text of every file of the checkout that is text."""
    found: dict[str, str] = {}
    for path in files("."):
        try:
            found[path.as_posix()] = (ROOT / path).read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
    return found
