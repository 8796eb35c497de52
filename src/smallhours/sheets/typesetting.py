"""Setting a sheet: a template, its data as JSON, the shipped fonts; nothing of the data is ever read as markup."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from smallhours.science.ranges import checked
from smallhours.sheets.type import printable

if TYPE_CHECKING:
    import typst

Paper = Literal["a4", "letter"]
PAPERS: Mapping[str, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
_HERE = Path(__file__).parent


def set_pdf(template: str, data: Mapping[str, Any]) -> bytes:
    """The PDF of a template: tagged, PDF/UA-1, the same bytes for the same data on every machine."""
    import typst

    pdf: bytes = typst.compile(
        str(_HERE / "templates" / f"{template}.typ"),
        root=str(_HERE / "templates"),
        font_paths=_fonts(),
        sys_inputs={"data": json.dumps(_printable(data), ensure_ascii=False)},
        pdf_standards="ua-1",
        format="pdf",
    )
    return pdf


def set_png(svg: str, ppi: float = 200.0, margin_mm: float = 3.0) -> bytes:
    """The PNG of a drawing that is sized in mm, on white, in the shipped fonts: the same bytes for the same drawing.

    Raises OutOfRange for less than 30 or more than 1200 dots an inch, or a margin outside 0 to 50 mm.
    """
    import typst

    checked(ppi, "the dots of a picture", 30.0, 1200.0, "an inch")
    checked(margin_mm, "the margin of a picture", 0.0, 50.0, "mm")
    png: bytes = typst.compile(
        str(_HERE / "templates" / "picture.typ"),
        root=str(_HERE / "templates"),
        font_paths=_fonts(),
        sys_inputs={"data": json.dumps({"svg": printable(svg), "margin_mm": margin_mm}, ensure_ascii=False)},
        format="png",
        ppi=ppi,
    )
    return png


@cache
def _fonts() -> typst.Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(_HERE / "fonts")])


def _printable(data: Any) -> Any:
    """The data with every text, also inside pictures, in letters that the shipped fonts have."""
    if isinstance(data, str):
        return printable(data)
    if isinstance(data, Mapping):
        return {key: _printable(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_printable(item) for item in data]
    return data
