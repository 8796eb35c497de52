"""Tables of numbers from outside: every CSV has a side-car that says what its columns are."""

from __future__ import annotations

import tomllib
from pathlib import Path


def without_side_car(folder: Path) -> list[str]:
    """CSV files without a readable ``same-name.toml``, and side-cars without their table."""
    complaints = []
    for table in sorted(folder.rglob("*.csv")):
        side_car = table.with_suffix(".toml")
        if not side_car.exists():
            complaints.append(f"{table.name}: has no {side_car.name} beside it")
            continue
        try:
            said = tomllib.loads(side_car.read_text(encoding="utf-8"))
        except tomllib.TOMLDecodeError as error:
            complaints.append(f"{side_car.name}: cannot be read ({error})")
            continue
        if not said.get("title"):
            complaints.append(f"{side_car.name}: has no title")
    return complaints
