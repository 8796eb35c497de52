"""Setting a sheet: a template, its data as JSON, the shipped fonts; nothing of the data is ever read as markup."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

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
