"""A first formula from a few answers, so that a new bakery has something to order and to plan.

All figures offered are common practice for such a dough; they are there to be corrected, and the usual checks look at
what comes out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from smallhours.bakery.formula.document import Formula

Style = Literal["loaf", "bun"]


@dataclass(frozen=True)
class FirstFormula:
    """What a first formula is made from; percentages on the flour. ``liquid_percent``: water, for buns whole milk."""

    id: str
    name: str
    style: Style = "loaf"
    pan: str | None = "tray"
    pieces_per_pan: int = 6
    piece_g: float = 900.0
    liquid_percent: float = 66.0
    salt_percent: float = 2.0
    yeast_percent: float = 0.8
    rest_s: float = 3600.0
    proof_s: float = 3600.0
    bake_s: float = 2400.0
    set_temp_c: float = 230.0


USUAL: Mapping[Style, FirstFormula] = {
    "loaf": FirstFormula("first-loaf", ""),
    "bun": FirstFormula("first-bun", "", "bun", "tray", 20, 60.0, 60.0, 1.8, 1.2, 3600.0, 3600.0, 840.0, 200.0),
}
"""What is offered for each kind (common practice)."""

_SPEEDS_S: Mapping[Style, tuple[float, float]] = {"loaf": (180.0, 300.0), "bun": (240.0, 420.0)}  # common practice
_HANDS_S: Mapping[Style, tuple[float, float]] = {"loaf": (20.0, 25.0), "bun": (4.0, 5.0)}  # a piece; common practice
_COOL_S: Mapping[Style, tuple[float, float]] = {"loaf": (3600.0, 28800.0), "bun": (1800.0, 28800.0)}  # common practice


def first_formula(answers: FirstFormula, part_name: str = "Dough") -> Formula:
    """The formula: mix, rest, divide, shape, proof, bake, cool; the rests may be a quarter shorter and a third longer.

    Raises DocumentError if the answers do not hold together.
    """
    style, lines = answers.style, _lines(answers)
    low_s, high_s = _SPEEDS_S[style]
    divide_s, shape_s = _HANDS_S[style]
    cool_s, keeps_s = _COOL_S[style]
    stages: list[dict[str, Any]] = [
        {"kind": "mix", "low_s": low_s, "high_s": high_s},
        _rest("ferment", answers.rest_s),
        {"kind": "divide", "per_piece_s": divide_s},
        {"kind": "shape", "per_piece_s": shape_s},
        _rest("proof", answers.proof_s),
        {"kind": "bake", "duration_s": answers.bake_s, "set_temp_c": answers.set_temp_c, "steam": style == "loaf"},
        {"kind": "cool", "duration_s": cool_s, "max_s": keeps_s},
    ]
    data = {
        "id": answers.id,
        "name": answers.name,
        "pan": answers.pan,
        "pieces_per_pan": answers.pieces_per_pan,
        "output": {"piece_mass_g": answers.piece_g},
        "shaping": {"form": "round"},
        "parts": [{"id": "dough", "name": part_name, "target_temp_c": 25.0, "lines": lines}],
        "stages": stages,
    }
    return Formula.read(data, f"formula {answers.id!r}")


def _lines(answers: FirstFormula) -> list[dict[str, Any]]:
    liquid = "water" if answers.style == "loaf" else "milk-whole"
    lines: list[dict[str, Any]] = [
        {"ingredient": "bread-flour", "percent": 100.0},
        {"ingredient": liquid, "percent": answers.liquid_percent, "tempered": True},
        {"ingredient": "salt", "percent": answers.salt_percent},
        {"ingredient": "yeast-instant", "percent": answers.yeast_percent},
    ]
    if answers.style == "bun":
        lines += [
            {"ingredient": "sugar", "percent": 10.0},
            {
                "ingredient": "butter-unsalted",
                "percent": 12.0,
                "addition": 2,
                "after_development": True,
                "temp_c": 16.0,
            },
        ]
    return lines


def _rest(kind: str, length_s: float) -> dict[str, Any]:
    limits = {"min_s": round(0.75 * length_s), "max_s": round(4 / 3 * length_s)}
    return {"kind": kind, "duration_s": length_s, "at_temp_c": 24.0, **limits}
