"""Names of people and tablets: one spelling for one name."""

from __future__ import annotations

import unicodedata

from smallhours.actions.permissions import BAKER
from smallhours.errors import NotGoodEnough

LONGEST_NAME = 60


def proper_name(text: str, what: str = "name") -> str:
    """The name with single spaces, in Unicode's composed form. Raises NotGoodEnough.

    >>> proper_name("  Ana   Ruiz ")
    'Ana Ruiz'
    """
    name = " ".join(unicodedata.normalize("NFKC", text).split())
    if not name:
        raise NotGoodEnough(["name_empty"], f"the {what} must not be empty")
    if len(name) > LONGEST_NAME:
        sentence = f"the {what} must have at most {LONGEST_NAME} characters (found {len(name)})"
        raise NotGoodEnough(["name_long"], sentence)
    # Cc, Cf: characters that cannot be seen, or that turn the direction of what follows, make two names look like one
    if any(unicodedata.category(one) in ("Cc", "Cf", "Co", "Cs", "Cn") for one in name):
        raise NotGoodEnough(["name_unseen"], f"the {what} must be made of characters that can be seen")
    return name


def persons_name(text: str) -> str:
    """The name of a person. Raises NotGoodEnough also for the name that the log has for the terminal."""
    name = proper_name(text)
    if name.casefold() == BAKER.name.casefold():
        sentence = f"{name!r} is what the log calls whoever sits at the terminal; take another name"
        raise NotGoodEnough(["name_terminal"], sentence)
    return name
