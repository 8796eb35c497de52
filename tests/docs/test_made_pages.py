"""Pages and pictures that are made from the code say what the code says now."""

from __future__ import annotations

from typing import Any

import pytest
import typer

from docs.pages import DOCS, script
from smallhours.bakery.formula import audit, warnings
from smallhours.cli.main import app

MAKER = script(DOCS / "reference" / "make_reference.py")
PICTURES = script(DOCS / "models" / "make_pictures.py").pictures()
COMMANDS: Any = typer.main.get_command(app)


def _page(name: str) -> str:
    return (DOCS / "reference" / name).read_text(encoding="utf-8")


@pytest.mark.parametrize(("name", "text"), MAKER.pages().items(), ids=MAKER.pages())
def test_the_reference_is_up_to_date(name: str, text: str):
    """Behaviour: made again it is the same; if not, run ``python docs/reference/make_reference.py``."""
    assert _page(name) == text


@pytest.mark.parametrize(("name", "text"), PICTURES.items(), ids=PICTURES)
def test_the_pictures_are_up_to_date(name: str, text: str):
    """Behaviour: made again they are the same; if not, run ``python docs/models/make_pictures.py``."""
    assert (DOCS / "models" / name).read_text(encoding="utf-8") == text


def test_every_command_and_option_is_there():
    """Behaviour: nothing the terminal takes is left out, however the page is made."""
    sections = {}
    for part in _page("commands.md").split("## smallhours ")[1:]:
        heading, text = part.split("\n", 1)
        group, _, words = heading.rpartition(" ")
        sections |= {f"{group} {word}".strip(): text for word in words.split("|")}
    every = {
        f"{name} {word}".strip(): one
        for name, command in COMMANDS.commands.items()
        for word, one in getattr(command, "commands", {"": command}).items()
    }
    assert set(sections) == set(every)
    for name, command in every.items():
        options = [word for p in command.params for word in (*p.opts, *p.secondary_opts) if word.startswith("-")]
        assert not [word for word in options if f"`{word}" not in sections[name]]


def test_every_finding_is_there():
    """Behaviour: every rule of the audit and the warnings, and every other finding the code can say."""
    page = _page("findings.md")
    ids = {rule.__name__ for rule in (*audit.RULES, *warnings.RULES)} | {found.rule for found in MAKER.findings()}
    assert len(ids) > 30
    assert not [name for name in ids if f"`{name}`" not in page]


def test_every_finding_has_a_severity():
    """Behaviour: the reader of the code found at least one severity for every rule it lists."""
    assert not [found for found in MAKER.findings() if not found.severities]


def test_every_rule_of_the_planner_is_there():
    """Behaviour: every rule that a link of a plan can name, and every rule of the engine."""
    page = _page("planner-rules.md")
    ids = {*MAKER.planner_rules(), *MAKER.ENGINE_RULES}
    assert len(ids) >= 9
    assert not [name for name in ids if f"`{name}`" not in page]
