"""One row of a table as its reader sees it, and the names it may use."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass

from smallhours.actions.tables.cells import Mark
from smallhours.actions.tables.grid import Cell
from smallhours.actions.tables.headings import loosened


@dataclass(frozen=True)
class Names:
    """What rows may name: loosened name or id -> id. None: any name will do (nothing to compare with)."""

    products: Mapping[str, str] | None = None
    ingredients: Mapping[str, str] | None = None


@dataclass(frozen=True)
class Row:
    """One row as the readers of the three kinds see it: a cell by its field, and the table's decimal mark."""

    cells: Mapping[str, Cell]
    mark: Mark | None

    def __getitem__(self, name: str) -> Cell:
        return self.cells.get(name)

    def text(self, name: str) -> str:
        """The cell as text; raises ValueError if it is empty."""
        cell = self.cells.get(name)
        if cell is None or not str(cell).strip():
            raise ValueError(f"{name} is empty")
        return str(cell).strip()


def named(text: str, known: Mapping[str, str] | None, what: str) -> str:
    """The id that a name or id stands for. Raises ValueError with near spellings."""
    if known is None:
        return loosened(text).replace(" ", "-")
    key = known.get(loosened(text))
    if key is not None:
        return key
    near = difflib.get_close_matches(loosened(text), known, n=3, cutoff=0.6)
    hint = "; did you mean " + " or ".join(sorted({repr(known[name]) for name in near})) + "?" if near else ""
    raise ValueError(f"there is no {what} {text!r}{hint}")
