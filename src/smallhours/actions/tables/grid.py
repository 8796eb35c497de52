"""A CSV or XLSX file as a grid of cells."""

from __future__ import annotations

import csv
import datetime as dt
import io
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from smallhours.actions.tables.text import MOST_BYTES, decoded
from smallhours.errors import BadInput

MOST_ROWS = 20_000
MOST_COLUMNS = 60
_MOST_UNPACKED_BYTES = 60_000_000
_MOST_TAGS = 1_500_000  # four to a cell: 20,000 rows of 15 columns, and room for the rest; read in about ten seconds
_DELIMITERS = {";": "semicolon", ",": "comma", "\t": "tab", "|": "bar"}

Cell = str | int | float | dt.date | dt.time | dt.datetime | None


@dataclass(frozen=True)
class Grid:
    """Rows of cells (``rows[0]`` is line 1 of the file) and, in sentences, what was assumed about the file."""

    source: str
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...]


def read_grid(data: bytes, source: str, fit: Callable[[Sequence[Cell]], int]) -> Grid:
    """The cells of a file. ``fit`` says how many headings it knows in a row; it settles the delimiter and the sheet.

    Raises BadInput for a file that is too large, broken or of another kind.
    """
    if data.startswith(b"PK\x03\x04"):
        return _workbook(data, source, fit)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise BadInput(f"{source}: is a workbook of the old XLS kind; save it as XLSX or CSV")
    return _csv(data, source, fit)


def _csv(data: bytes, source: str, fit: Callable[[Sequence[Cell]], int]) -> Grid:
    found = decoded(data, source)
    best: tuple[int, int] = (-1, -1)
    chosen, rows = ",", [[""]]
    for delimiter in _DELIMITERS:
        read = _split(found.text, delimiter, source)
        score = (max((fit(row) for row in read[:10]), default=0), max((len(row) for row in read[:10]), default=0))
        if score > best:
            best, chosen, rows = score, delimiter, read
    encoding = f"text encoding {found.encoding}" + ("" if found.certain else " (assumed: the file does not say)")
    return Grid(source, _bounded(rows, source), (encoding, f"columns separated by {_DELIMITERS[chosen]}"))


def _split(text: str, delimiter: str, source: str) -> list[list[str]]:
    rows: list[list[str]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=False):
            rows.append(row)
            if len(rows) > MOST_ROWS:
                raise BadInput(f"{source}: has more than {MOST_ROWS} rows; split the table")
    except csv.Error as error:
        raise BadInput(f"{source}: line {len(rows) + 1} cannot be read as CSV ({error})") from None
    return rows


def _workbook(data: bytes, source: str, fit: Callable[[Sequence[Cell]], int]) -> Grid:
    if len(data) > MOST_BYTES:
        raise BadInput(f"{source}: {len(data) / 1e6:.1f} MB is too large; a table may have {MOST_BYTES / 1e6:.0f} MB")
    import openpyxl  # slow to import, and only workbooks need it

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > _MOST_UNPACKED_BYTES:
                raise BadInput(f"{source}: unpacks to far more than a table; it is not read")
            if _tags(packed) > _MOST_TAGS:
                raise BadInput(f"{source}: holds far more cells than a table; keep only the sheet and columns needed")
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except BadInput:
        raise
    except Exception as error:  # broken zip, broken XML, a zip that is no workbook: openpyxl raises many kinds
        raise BadInput(f"{source}: cannot be read as an XLSX workbook ({type(error).__name__})") from None
    best, name = -1, ""
    rows: list[list[Cell]] = []
    for sheet in book.worksheets:
        sheet.reset_dimensions()  # a wrong stored size would hide rows
        read = [
            [_cell(cell) for cell in row]
            for row in sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS + 1, values_only=True)
        ]
        score = max((fit(row) for row in read[:10]), default=0)
        if score > best:
            best, name, rows = score, sheet.title, read
    notes = (f"sheet {name!r}",) if len(book.worksheets) > 1 else ()
    book.close()
    return Grid(source, _bounded(rows, source), notes)


def _tags(packed: zipfile.ZipFile) -> int:
    """About how many elements all parts of a workbook have: what reading it costs in time and memory. A small file can
    hold millions of empty ones."""
    count = 0
    for entry in packed.infolist():
        with packed.open(entry) as part:
            while count <= _MOST_TAGS and (piece := part.read(1 << 20)):
                count += piece.count(b"<")
    return count


def _bounded(rows: Sequence[Sequence[object]], source: str) -> tuple[tuple[Cell, ...], ...]:
    if len(rows) > MOST_ROWS:
        raise BadInput(f"{source}: has more than {MOST_ROWS} rows; split the table")
    if any(len(row) > MOST_COLUMNS and any(c not in (None, "") for c in row[MOST_COLUMNS:]) for row in rows):
        raise BadInput(f"{source}: has more than {MOST_COLUMNS} columns; keep only those that are needed")
    return tuple(tuple(_cell(cell) for cell in row[:MOST_COLUMNS]) for row in rows)


def _cell(value: object) -> Cell:
    if isinstance(value, str):
        return value.replace("\u00a0", " ").strip() or None
    if isinstance(value, bool) or value is None:
        return None if value is None else str(value)
    if isinstance(value, int | float | dt.date | dt.time):
        return value
    return str(value)
