"""Words that have no place in the files."""

from __future__ import annotations

import re

MACHINE_PATH = re.compile(r"(?<![\w.~>])/(?:work|tmp|root|opt|mnt|home|Users)/\w+")
"""A folder of somebody's machine; it means nothing on any other."""

PROMISE = re.compile(r"\b(?:" + "|".join(a + b for a, b in (("TO", "DO"), ("FIX", "ME"), ("XX", "X"))) + r")\b")
"""Marks of work left over; what is missing belongs where it can be found and finished, not into the code."""

ADDRESS = re.compile(r"\w+://\S+")


def machine_paths(name: str, text: str) -> list[str]:
    return [f"{name}:{line}: names the path {found!r}" for line, found in _hits(MACHINE_PATH, text)]


def promises(name: str, text: str) -> list[str]:
    return [f"{name}:{line}: leaves a {found}" for line, found in _hits(PROMISE, text)]


def addresses(name: str, text: str) -> list[str]:
    return [f"{name}:{line}: holds the address {found!r}" for line, found in _hits(ADDRESS, text)]


def _hits(pattern: re.Pattern[str], text: str) -> list[tuple[int, str]]:
    return [
        (number, match.group()) for number, line in enumerate(text.splitlines(), 1) for match in pattern.finditer(line)
    ]
