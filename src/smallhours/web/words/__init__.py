"""The words of the pages: those of the sheets, and the pages' own on top.

What all pages say is in ``en.toml``; what only one section says may stand in a file of its own, ``en-orders.toml``.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from smallhours.sheets.words import Speech, speech


@cache
def page_speech(lang: str) -> Speech:
    """One language with the pages' words. Raises NotFound for one that is not there."""
    sheets = speech(lang)
    own: dict[str, str] = {}
    for file in sorted(files(__package__).iterdir(), key=lambda file: file.name):
        if file.name == f"{lang}.toml" or (file.name.startswith(f"{lang}-") and file.name.endswith(".toml")):
            tables = tomllib.loads(file.read_text("utf-8"))
            own |= {f"{section}.{key}": text for section, table in tables.items() for key, text in table.items()}
    return Speech(lang, {**sheets.texts, **own})
