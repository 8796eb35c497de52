"""Every error a caller may catch.

SmallhoursError
├── BadInput                what was given cannot be used; nothing was written
│   ├── OutOfRange          a number is outside what the relation or the trade allows
│   ├── ProblemError        a question to the planning engine does not hold together
│   ├── NotGoodEnough       a name, password or PIN breaks a rule
│   ├── NoPlaceForStage     a stage for which this kitchen has nothing that does it
│   ├── Overtaken           somebody else has written a newer revision meanwhile; both are kept
│   └── DocumentError       a formula, kitchen, order or ingredient document does not hold together
│       └── PartCycle       a part of a formula feeds itself
├── NotAllowed              the person asking may not do this
│   ├── NotLetIn            name and password (or PIN, or code) do not belong together
│   └── TooSoon             too many tries have failed; the message says how long to wait
├── NotFound                a named formula, kitchen, ingredient, plan or order is not there
└── Impossible              asked for something nature or the kitchen cannot do; the message says what would do instead
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class SmallhoursError(Exception):
    """Base of every error that a caller may catch."""


class BadInput(SmallhoursError, ValueError):
    """What was given cannot be used; nothing was written."""


class OutOfRange(BadInput):
    """A number is outside the range of the relation or of what the trade allows."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a document: where it is, what was found, what would be right."""

    where: str
    what: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}" if self.where else self.what


class DocumentError(BadInput):
    """A document does not hold together; all its faults are reported at once.

    Attributes: ``document`` (what was read, e.g. a file name or ``formula 'brioche'``) and ``faults``.
    """

    def __init__(self, document: str, faults: Sequence[Fault]) -> None:
        self.document = document
        self.faults = tuple(faults)
        super().__init__("\n".join(f"{document}: {fault}" for fault in self.faults))


class PartCycle(DocumentError):
    """A part of a formula feeds itself."""


class ProblemError(BadInput):
    """A question to the planning engine does not hold together; all its faults are reported at once.

    Attributes: ``faults``, one sentence each.
    """

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


class NotGoodEnough(BadInput):
    """A name, password or PIN breaks a rule. Attribute: ``rules``, the ids of those it breaks (``pin-digits``)."""

    def __init__(self, rules: Sequence[str], sentence: str) -> None:
        self.rules = tuple(rules)
        super().__init__(sentence)


class NoPlaceForStage(BadInput):
    """A stage for which this kitchen has nothing that does it; the message says which and what is missing."""


class Overtaken(BadInput):
    """Somebody else has written meanwhile what was to be changed; nothing was written.

    Attributes: ``made_from`` and ``newest``, the revisions (0: there was none).
    """

    def __init__(self, what: str, made_from: int, newest: int) -> None:
        self.made_from, self.newest = made_from, newest
        began = f"from revision {made_from}" if made_from else "as a new one"
        super().__init__(f"{what} was begun {began}, but revision {newest} is there now; look at both, then save again")


class NotAllowed(SmallhoursError):
    """The person asking may not do this; the message says who may."""


class NotLetIn(NotAllowed):
    """Name and password (or PIN, or code) do not belong together; it is not said which of them is wrong."""


class TooSoon(NotAllowed):
    """Too many tries have failed. Attribute: ``wait_s``, whole seconds until the next one is looked at."""

    def __init__(self, wait_s: int) -> None:
        self.wait_s = wait_s
        super().__init__(f"too many tries have failed; wait {wait_s} s, then try again")


class NotFound(SmallhoursError, LookupError):
    """A named formula, kitchen, ingredient, plan or order is not there."""


class Impossible(SmallhoursError):
    """Asked for something nature or the kitchen cannot do; the message says what would do instead."""
