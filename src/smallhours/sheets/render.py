"""The sheets of a night as PDF files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from smallhours.errors import NotFound
from smallhours.sheets.bench import bench_data
from smallhours.sheets.frame import Data, Frame
from smallhours.sheets.oven import oven_data
from smallhours.sheets.overview import night_data
from smallhours.sheets.papers import Papers
from smallhours.sheets.typesetting import PAPERS, Paper, set_pdf
from smallhours.sheets.weigh_up import weigh_up_data
from smallhours.sheets.words import speech

SHEETS: Mapping[str, Callable[[Frame], Data]] = {
    "night": night_data,
    "weigh-up": weigh_up_data,
    "bench": bench_data,
    "oven": oven_data,
}


def render(papers: Papers, which: Iterable[str] = SHEETS, paper: Paper = "a4", lang: str = "en") -> dict[str, bytes]:
    """The wanted sheets: file name ("2026-11-15-weigh-up.pdf") to PDF.

    ``which``: any of ``night`` (the ribbons, orders, what is late), ``weigh-up`` (a page for each bowl), ``bench``
    (for each product) and ``oven``. The same papers give the same bytes. Raises NotFound for a sheet, paper or
    language that is not there, or a formula that the papers lack.
    """
    wanted = set(which)
    for name in sorted(wanted - set(SHEETS)):
        raise NotFound(f"there is no sheet {name!r}; there are: {', '.join(SHEETS)}")
    if paper not in PAPERS:
        raise NotFound(f"the sheets are not made for the paper {paper!r}; they are for: {', '.join(PAPERS)}")
    speech(lang)
    frame = Frame(papers, paper, lang)
    night = papers.plan.night.isoformat()
    return {f"{night}-{name}.pdf": set_pdf(name, make(frame)) for name, make in SHEETS.items() if name in wanted}
