"""Change notes: ``changes/<subject>.<kind>.md``, one sentence of effect each."""

from __future__ import annotations

import re

KINDS = ("added", "changed", "fixed", "numbers")
NAME = re.compile(r"changes/[a-z0-9-]+\.(?:" + "|".join(KINDS) + r")\.md")


def misnamed(name: str, text: str) -> list[str]:
    if name == "changes/README.md":
        return []
    if not NAME.fullmatch(name):
        return [f"{name}: a change note is named <subject>.<kind>.md, and the kinds are {', '.join(KINDS)}"]
    return [] if text.strip().endswith(".") else [f"{name}: a change note is a sentence and ends with a full stop"]
