"""The look: contrasts computed from the tokens; words in both languages."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from smallhours.sheets.words import speech
from smallhours.web.words import page_speech

STATIC = files("smallhours.web") / "static" / "smallhours"
TEXT_ON = (
    ("ink", "paper"),
    ("ink", "card"),
    ("quiet", "paper"),
    ("quiet", "card"),
    ("action", "paper"),
    ("action", "card"),
    ("on-action", "action"),
    ("running-ink", "running"),
    ("due-ink", "due"),
    ("late-ink", "late"),
    ("done-ink", "done"),
)
SHAPE_ON = (("line", "paper"), ("line", "card"), ("focus-outer", "paper"), ("late-ink", "card"), ("done-ink", "card"))


def _tokens(theme: str) -> dict[str, str]:
    light, _, dark = (STATIC / "tokens.css").read_text("utf-8").partition("@media")
    read = dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", light))
    if theme == "dark":
        read |= dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", dark))
    return read


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(a: str, b: str) -> float:
    high, low = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_of_black_on_white() -> None:
    """Published: WCAG 2.2, definition of contrast ratio: 21:1 for black on white; #767676 on white is 4.54:1."""
    assert _contrast("#000000", "#ffffff") == pytest.approx(21.0, abs=1e-9)
    assert _contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), TEXT_ON)
def test_text_is_legible(theme: str, ink: str, ground: str) -> None:
    """Published: WCAG 2.2, success criterion 1.4.6 (AAA): 7:1 for text."""
    tokens = _tokens(theme)
    assert _contrast(tokens[ink], tokens[ground]) >= 7.0


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), SHAPE_ON)
def test_shapes_stand_out(theme: str, ink: str, ground: str) -> None:
    """Published: WCAG 2.2, success criterion 1.4.11: 3:1 for borders of fields and marks of focus and state."""
    tokens = _tokens(theme)
    assert _contrast(tokens[ink], tokens[ground]) >= 3.0


@pytest.mark.parametrize("name", ["base.css", "parts.css"])
def test_colours_are_only_in_the_tokens(name: str) -> None:
    """Behaviour: no literal colour outside tokens.css and the print rules; nothing loaded from elsewhere."""
    text = (STATIC / name).read_text("utf-8")
    assert not re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsla?\(", text)
    assert not re.findall(r"url\(|@import|https?:", text)


def test_both_languages_say_the_same_things() -> None:
    """Behaviour: the same keys with the same holes; no page key hides one of the sheets' words."""
    english, spanish = page_speech("en").texts, page_speech("es").texts
    assert english.keys() == spanish.keys()
    for key in english:
        assert re.findall(r"\{\w+\}", english[key]) == re.findall(r"\{\w+\}", spanish[key]) or set(
            re.findall(r"\{\w+\}", english[key])
        ) == set(re.findall(r"\{\w+\}", spanish[key])), key
    assert all(page_speech("en").texts[key] == text for key, text in speech("en").texts.items())
