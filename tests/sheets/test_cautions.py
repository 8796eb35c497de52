"""Cautions about bacteria in words: in every language, with the numbers, and never as a clearance."""

from __future__ import annotations

from typing import get_args

import pytest

from smallhours.forecast.microbes import kept_on
from smallhours.forecast.warmest_path import measured_path
from smallhours.science.food_microbes import CautionKey
from smallhours.sheets.cautions import microbes
from smallhours.sheets.words import LANGUAGES, speech

HOUR = 3600.0
_REFUSES = {"en": "clearance", "es": "autorización"}


@pytest.mark.parametrize("lang", LANGUAGES)
@pytest.mark.parametrize("key", get_args(CautionKey))
def test_every_key_of_the_science_has_a_sentence_that_clears_nothing(lang: str, key: str) -> None:
    """Behaviour: a new key in the science needs its words; each says that it is no clearance."""
    text = speech(lang).say(f"caution.{key}", name="a", warm="b", organism="c", low="d", high="e")
    assert _REFUSES[lang] in text
    assert "{" not in text


def test_a_custard_left_out_in_both_languages() -> None:
    """Hand: 6 h at 26 °C: S. aureus in milk grows 6 x 0.3598 = 2.16, over 3 for lean dough's 0.33: 0.1; B. cereus in
    rice 0.0529 x 20.23 squared = 1.145 natural an hour, 2.75 with a bend of 9 %, so up to 4.1 of it."""
    kept = kept_on(measured_path("filling", "Custard", [(n * HOUR, 26.0) for n in range(7)]))
    english, spanish = microbes(kept, speech("en")), microbes(kept, speech("es"))
    assert "Custard: 6\u00a0h out of the cold; Bacillus cereus" in english
    assert kept.worst.total.high == pytest.approx(6 * 1.145 * 0.91 / 2.3026 * 1.5, rel=0.02)
    assert f"{kept.worst.total.high:.1f}".replace(".", ",") in spanish
