"""Rows of the form that come, go and move: on texts alone, so that nothing typed is lost."""

from __future__ import annotations

import re
from dataclasses import dataclass

from smallhours.web.formula_form.kinds import Texts
from smallhours.web.formula_form.places import rows_of

MOST_ROWS = {"p": 20, "l": 60, "s": 60, "w": 8}
_NEW = {
    "l": {"what": "", "amount": "", "addition": "1", "temp": "", "mark": "", "unit": "percent"},
    "s": {"kind": "rest", "duration": "", "min": "", "max": "", "at": ""},
    "w": {"place": "fridge", "duration": "", "min": "", "max": "", "at": ""},
}
_MOVE = re.compile(r"(add|drop|up):((?:[ps]\d{1,3}-)?[plsw])(\d{1,3})?", re.ASCII)


@dataclass(frozen=True)
class Moved:
    """The texts after a move, and the field to go on with."""

    texts: dict[str, str]
    focus: str = ""


def moved(texts: Texts, move: str) -> Moved:
    """The texts with a row added (``add:p0-l``), dropped (``drop:p0-l3``) or moved up (``up:s2``).

    A move that names nothing there changes nothing.
    """
    found = _MOVE.fullmatch(move)
    if found is None:
        return Moved(dict(texts))
    verb, beginning, number = found.groups()
    there = rows_of(texts)[beginning]
    if verb == "add":
        return _added(texts, beginning, there)
    if number is None or int(number) not in there:
        return Moved(dict(texts))
    row = f"{beginning}{int(number)}-"
    if verb == "drop":
        return Moved({name: text for name, text in texts.items() if not name.startswith(row)})
    place = there.index(int(number))
    if place == 0:
        return Moved(dict(texts))
    other = f"{beginning}{there[place - 1]}-"
    return Moved({_swapped(name, row, other): text for name, text in texts.items()}, f"{other}up")


def _added(texts: Texts, beginning: str, there: list[int]) -> Moved:
    kind = beginning[-1]
    if len(there) >= MOST_ROWS[kind]:
        return Moved(dict(texts))
    row = f"{beginning}{max(there, default=-1) + 1}-"
    if kind == "p":
        return _with_part(texts, row, rows_of(texts)["p"])
    fresh = {row + name: text for name, text in _NEW[kind].items()}
    return Moved({**texts, **fresh}, row + {"l": "what", "s": "kind", "w": "place"}[kind])


def _with_part(texts: Texts, row: str, there: list[int]) -> Moved:
    """The first part is the dough; any other begins as a filling, by its share of the dough."""
    ids = {texts.get(f"p{n}-id") for n in there}
    main = not there and not texts.get("base")
    number = next(n for n in range(1, 100) if f"part-{n}" not in ids)
    own = texts.get("main") or "dough" if main else f"part-{number}"
    fresh = dict.fromkeys(("name", "amount", "to", "target", "keeps", "keeps-in"), "")
    fresh |= {
        "id": own,
        "kind": "dough" if main else "filling",
        "on": "part" if main else "mass",
        "in": "percent",
        "size": "" if main else "ratio",
    }
    line = {f"l0-{name}": text for name, text in _NEW["l"].items()}
    return Moved({**texts, **{row + name: text for name, text in {**fresh, **line}.items()}}, row + "name")


def _swapped(name: str, row: str, other: str) -> str:
    if name.startswith(row):
        return other + name[len(row) :]
    return row + name[len(other) :] if name.startswith(other) else name
