"""How quick the pages of formulas answer while somebody types or slides: ``python bench/formula_pages.py``.

The invented bakery in a store of its own; whole answers of the server, from the request to the last byte, without the
network: the median and the slowest of twenty, and the processor's time. A draft is sent as a browser sends it.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

TIMES = 20
LIMIT_MS = 150.0
FORMULAS = ("harbour-bun", "croissant", "milk-loaf", "mooring-loaf")


def timed(ask: Callable[[int], object]) -> tuple[float, float, float]:
    """Median and slowest wall time and mean processor time, ms, once everything is read in."""
    ask(0)
    walls, began = [], time.process_time()
    for number in range(1, TIMES + 1):
        start = time.perf_counter()
        ask(number)
        walls.append(1000.0 * (time.perf_counter() - start))
    return statistics.median(walls), max(walls), 1000.0 * (time.process_time() - began) / TIMES


def main() -> None:
    """Print the table."""
    from smallhours.records.setup import open_store

    with tempfile.TemporaryDirectory() as folder:
        open_store(Path(folder))
        from django.test import Client

        from smallhours.actions.load_demo import load_demo
        from web.test_formula_pages import form_of

        load_demo()
        browser = Client(headers={"host": "127.0.0.1:8350"})

        def page(path: str) -> str:
            response = browser.get(path)
            assert response.status_code == 200, path
            return str(response.content.decode())

        def draft(texts: dict[str, str]) -> None:
            body = urlencode(texts)
            response = browser.post("/formula-draft/", body, content_type="application/x-www-form-urlencoded")
            assert response.status_code == 200

        print(f"{'':34}{'median':>9}{'slowest':>9}{'cpu':>7}  ms")
        for slug in FORMULAS:
            texts = form_of(page(f"/formulas/{slug}/edit/"))
            asks: dict[str, Callable[[int], object]] = {
                "sliding": lambda n, s=slug: page(f"/formulas/{s}/try/moved/?quick=1&room={20 + n % 8}&flour={n % 5}"),  # type: ignore[misc]
                "at rest": lambda n, s=slug: page(f"/formulas/{s}/try/moved/?room={20 + n % 8}"),  # type: ignore[misc]
                "draft": lambda n, t=texts: draft(t | {"p0-l1-amount": str(30 + n)}),  # type: ignore[misc]
            }
            for name, ask in asks.items():
                median, slowest, cpu = timed(ask)
                mark = "" if median <= LIMIT_MS else "  over the limit"
                print(f"{slug:24}{name:10}{median:9.0f}{slowest:9.0f}{cpu:7.0f}{mark}")
        from django.db import connections

        connections.close_all()


if __name__ == "__main__":
    main()
