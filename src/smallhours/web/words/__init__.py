"""The words of the pages: those of the sheets, and the pages' own on top."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from smallhours.sheets.words import Speech, speech


@cache
def page_speech(lang: str) -> Speech:
    """One language with the pages' words. Raises NotFound for one that is not there."""
    sheets = speech(lang)
    tables = tomllib.loads(files(__package__).joinpath(f"{lang}.toml").read_text("utf-8"))
    own = {f"{section}.{key}": text for section, table in tables.items() for key, text in table.items()}
    return Speech(lang, {**sheets.texts, **own})
