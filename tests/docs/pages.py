"""The pages of the documentation and what the tests take out of them."""

from __future__ import annotations

import importlib.util
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parent.parent.parent
DOCS = ROOT / "docs"
_FENCE = re.compile(r"^[ ]*```(\w*)\n(.*?)^[ ]*```$", re.S | re.M)
_LINK = re.compile(r"\]\(([^)\s]+)\)")


def pages() -> list[Path]:
    """Every Markdown page of the project: those at the top and those under docs and changes."""
    return sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md"), *(ROOT / "changes").glob("*.md")])


def links(page: Path) -> Iterator[str]:
    """The targets of a page's links to places of this project, code left out."""
    text = _FENCE.sub("", page.read_text(encoding="utf-8"))
    for target in _LINK.findall(re.sub(r"`[^`\n]*`", "`", text)):
        if not re.match(r"\w+:", target):
            yield target


def anchors(page: Path) -> set[str]:
    """The names under which a page's headings can be linked to."""
    text = _FENCE.sub("", page.read_text(encoding="utf-8"))
    headings = re.findall(r"^#+ (.+)$", text, re.M)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-") for heading in headings}


def blocks(page: Path, language: str) -> list[str]:
    """The fenced blocks of a language (empty: those that name none)."""
    found = _FENCE.findall(page.read_text(encoding="utf-8"))
    return [text for named, text in found if named == language]


def command_lines() -> list[tuple[str, str]]:
    """(page, line) for every line of a fenced block that runs the program."""
    return [
        (page.relative_to(ROOT).as_posix(), line.strip())
        for page in pages()
        for language in ("", "sh", "text")
        for block in blocks(page, language)
        for line in block.splitlines()
        if line.strip().startswith("smallhours ")
    ]


def script(path: Path) -> ModuleType:
    """A script of the documentation as a module."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # its dataclasses look themselves up there
    spec.loader.exec_module(module)
    return module
