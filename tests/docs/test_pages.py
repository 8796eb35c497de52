"""What the pages say is so: links lead somewhere, commands exist, examples can be read, values come out."""

from __future__ import annotations

import doctest
import re
import shlex
import tomllib
from pathlib import Path
from typing import Any

import pytest
import typer

from docs.pages import DOCS, ROOT, anchors, blocks, command_lines, links, pages
from smallhours.actions.kinds import read_document
from smallhours.cli.main import app

COMMANDS: Any = typer.main.get_command(app)
USAGE_ERROR = typer.BadParameter.__bases__[0]
TOML = [
    pytest.param(text, id=f"{page.stem}-{n}") for page in sorted(DOCS.rglob("*.md"))
    for n, text in enumerate(blocks(page, "toml"), 1)
]  # fmt: skip
WHOLE = [param for param in TOML if str(param.values[0]).startswith("id = ")]


def _parsed(line: str) -> Any:
    """The command line taken apart by the command itself, without running it; raises on anything it does not know."""
    words = shlex.split(line, comments=True)[1:]
    if words == ["--version"]:
        return None
    command = COMMANDS.commands[words[0]]
    while words[1:] and words[1] in getattr(command, "commands", {}):
        command, words = command.commands[words[1]], words[1:]
    return command.make_context(words[0], words[1:])


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page: Path):
    """Behaviour: every link to a place of the project finds its file, and the heading it names."""
    wrong = []
    for link in links(page):
        name, _, anchor = link.partition("#")
        target = (page.parent / name).resolve() if name else page
        if not target.exists() or (anchor and anchor not in anchors(target)):
            wrong.append(link)
    assert not wrong


def test_every_page_can_be_reached():
    """Behaviour: the index links to every page under docs."""
    linked = {(DOCS / link.partition("#")[0]).resolve() for link in links(DOCS / "README.md")}
    assert {page for page in DOCS.rglob("*.md") if page.name != "README.md"} <= linked


@pytest.mark.parametrize(("page", "line"), command_lines())
def test_commands_in_the_pages_exist(page: str, line: str):
    """Behaviour: every line of an example that runs the program is one that the program takes."""
    _parsed(line)


@pytest.mark.parametrize(
    "line", ["smallhours plan --nihgt 2026-12-03", "smallhours plan --limit soon", "smallhours bake", "smallhours swap"]
)
def test_a_wrong_command_line_is_found(line: str):
    """Bad input: a misspelt option, a word for a number, a command that is not there, a missing word."""
    with pytest.raises((KeyError, USAGE_ERROR)):
        _parsed(line)


def test_there_are_examples_to_look_at():
    """Behaviour: the tests above look at something."""
    assert len(command_lines()) > 30
    assert len(WHOLE) >= 3


@pytest.mark.parametrize("text", TOML)
def test_toml_in_the_pages_is_toml(text: str):
    """Behaviour: what a reader copies can be read, also a single line of a part."""
    tomllib.loads(f"line = {text}" if text.startswith("{") else text)


@pytest.mark.parametrize("text", WHOLE)
def test_whole_documents_in_the_pages_hold_together(text: str):
    """Round trip: a document that a page shows whole is read, written and read as the same."""
    document = read_document(text, "the page")
    assert read_document(document.to_toml(), "written") == document


@pytest.mark.parametrize("page", sorted((DOCS / "models").glob("*.md")), ids=lambda page: page.stem)
def test_check_values_come_out(page: Path):
    """Hand: the check values on each model page, each worked or sourced beside it, come out of the code."""
    result = doctest.testfile(str(page), module_relative=False)
    assert result.failed == 0
    assert result.attempted > 0 or page.stem == "planning"


def test_glossary_names_are_names_of_the_code():
    """Behaviour: every name in the glossary is one that the code uses."""
    code = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "src" / "smallhours").rglob("*.py"))
    words = set(re.findall(r"[A-Za-z_][A-Za-z0-9_]*", code))
    table = (DOCS / "reference" / "glossary.md").read_text(encoding="utf-8")
    names = {name for name in re.findall(r"`([a-z]\w*)`", table) if not name.startswith("_")}
    assert len(names) > 40
    assert names <= words
