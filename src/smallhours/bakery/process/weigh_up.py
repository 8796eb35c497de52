"""The weigh-up of one bowl: what goes in, in turn, at the scale's step, and what to mind.

Words that people read are the ingredient's names and the author's own notes; everything else is a key or a number, so
that each language says it its own way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from smallhours.bakery.formula.amounts import Amounts, LineAmount
from smallhours.bakery.formula.document import Formula, PartKind
from smallhours.bakery.formula.rounding import finer_scale, round_at_steps, step_for, tolerance_for
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.bowl import is_butter, is_water, steering_lines
from smallhours.bakery.process.cautions import Caution, cautions_for_bowl

HOLD_BACK_FRACTION = 0.05
"""Water that may be held back until the dough shows how it takes it: 5 to 10 % (common practice)."""
LEAST_ICE_G = 1.0
"""Less ice than this is not weighed: it would not be felt."""
_MELTED_FROM_C = 32.0


class Bowlful(Protocol):
    """What the weigh-up needs of a batch (``orders.batches.Batch`` is one)."""

    @property
    def formula(self) -> Formula: ...
    @property
    def part_id(self) -> str: ...
    @property
    def amounts(self) -> Amounts: ...
    @property
    def mixers(self) -> tuple[str, ...]: ...


class Poured(Protocol):
    """What the weigh-up needs of the liquid's answer: how warm to pour, how much of the water is ice."""

    @property
    def liquid_temp_c(self) -> float: ...
    @property
    def ice_g(self) -> float: ...


@dataclass(frozen=True)
class ButterCondition:
    """How the butter must be. ``key``: ``soft-cool`` (into a dough), ``pliable`` (rolled in), ``creamy`` (beaten into a
    filling) or ``melted``; the temperatures (°C) between which it is so."""

    key: str
    low_c: float
    high_c: float


# 16 to 20 °C cool and pliable into an enriched dough, 12 to 16 °C for rolling in, creamed at about 19 °C, melted from
# 32 to 35 °C: trade practice, the last from memory
_INTO_DOUGH = ButterCondition("soft-cool", 16.0, 20.0)
_ROLLED_IN = ButterCondition("pliable", 12.0, 16.0)
_CREAMED = ButterCondition("creamy", 18.0, 21.0)
_MELTED = ButterCondition("melted", 35.0, 45.0)


@dataclass(frozen=True)
class WeighRow:
    """One thing to weigh.

    ``exact_g`` and ``mass_g`` (at the scale's step); ``error``: share by which it was rounded; ``tolerance_g``: how far
    off it may be; ``addition``: 1 goes in first; ``temp_c``: how warm it must go in, where that matters; ``note``: the
    author's; ``says``: keys (``tempered``, ``ice``, ``finer-scale``).
    """

    key: str
    name: str
    name_es: str
    exact_g: float
    mass_g: float
    step_g: float
    tolerance_g: float
    error: float
    addition: int
    after_development: bool = False
    temp_c: float | None = None
    note: str = ""
    says: tuple[str, ...] = ()


@dataclass(frozen=True)
class WeighUp:
    """A bowl's weigh-up. ``total_g``: of the rounded rows; ``total_error``: its share off the exact mass.

    ``butter``: how the butter must be, if there is any; ``hold_back_g``: liquid that may be held back (a suggestion).
    """

    rows: tuple[WeighRow, ...]
    total_g: float
    total_error: float
    butter: ButterCondition | None
    butter_temp_c: float | None
    hold_back_g: float | None
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class _Entry:
    """A line on its way to the scale; ice is one of its own."""

    key: str
    name: str
    name_es: str
    kind: str
    mass_g: float
    addition: int
    late: bool
    temp_c: float | None
    note: str
    says: tuple[str, ...]


def weigh_up(batch: Bowlful, pantry: Pantry, kitchen: Kitchen, liquid: Poured | None = None) -> WeighUp:
    """What to weigh for one bowl, in the order it goes in.

    Each mass is rounded to the coarsest of the kitchen's scale steps that is fine enough for it; what is weighed on one
    scale keeps its sum. Ice is a row of its own and comes out of the water. ``liquid``: None where nothing is steered.
    Raises: NotFound for an unknown ingredient.
    """
    lines = [line for line in batch.amounts.parts[batch.part_id].lines if line.mass_g > 0]
    entries = _entries(batch, lines, pantry, liquid)
    entries.sort(key=lambda entry: (entry.late, entry.addition))
    rows = _rows(entries, kitchen.scale_steps_g)
    exact_g = sum(row.exact_g for row in rows)
    total_g = sum(row.mass_g for row in rows)
    kind = batch.formula.part(batch.part_id).kind
    butter, butter_temp_c = _butter(lines, kind, pantry)
    return WeighUp(
        rows=rows,
        total_g=total_g,
        total_error=(total_g - exact_g) / exact_g if exact_g > 0 else 0.0,
        butter=butter,
        butter_temp_c=butter_temp_c,
        hold_back_g=_hold_back_g(lines, kind, pantry),
        cautions=cautions_for_bowl(batch.amounts, batch.part_id, pantry, bool(batch.mixers)),
    )


def _entries(batch: Bowlful, lines: Sequence[LineAmount], pantry: Pantry, liquid: Poured | None) -> list[_Entry]:
    steering = steering_lines(lines, pantry) if liquid is not None else []
    water_g = sum(line.mass_g for line in lines if _water(line, pantry))
    ice_g = min(liquid.ice_g, water_g) if liquid is not None and liquid.ice_g >= LEAST_ICE_G else 0.0
    entries: list[_Entry] = []
    for line in lines:
        tempered = line in steering
        temp_c = liquid.liquid_temp_c if tempered and liquid is not None else line.line.temp_c
        says = ("tempered",) if tempered else ()
        taken_g = ice_g * line.mass_g / water_g if ice_g > 0 and _water(line, pantry) else 0.0
        if line.mass_g - taken_g > 0:
            entries.append(_entry(batch, line, line.mass_g - taken_g, temp_c, says, pantry))
        if taken_g > 0:
            entries.append(
                _Entry("ice", "Ice", "Hielo", "liquid", taken_g, line.line.addition, False, 0.0, "", ("ice",))
            )
    return entries


def _entry(
    batch: Bowlful, line: LineAmount, mass_g: float, temp_c: float | None, says: tuple[str, ...], pantry: Pantry
) -> _Entry:
    written = line.line
    note, late = written.note or "", written.after_development
    if written.part is not None:
        name = batch.formula.part(line.key).name
        return _Entry(line.key, name, name, "part", mass_g, written.addition, late, temp_c, note, says)
    stuff = pantry.find(line.key)
    return _Entry(
        line.key, stuff.name, stuff.name_es, stuff.kind, mass_g, written.addition, late, temp_c, note, says
    )  # fmt: skip


def _rows(entries: Sequence[_Entry], steps_g: Sequence[float]) -> tuple[WeighRow, ...]:
    exact = {str(number): entry.mass_g for number, entry in enumerate(entries)}
    steps = {
        str(number): step_for(entry.mass_g, steps_g, tolerance_for(entry.kind)) for number, entry in enumerate(entries)
    }
    rounded = round_at_steps(exact, steps)
    rows = []
    for number, entry in enumerate(entries):
        at, tolerance = str(number), tolerance_for(entry.kind)
        finer = finer_scale(entry.name, entry.mass_g, steps[at], tolerance) is not None
        rows.append(
            WeighRow(
                key=entry.key,
                name=entry.name,
                name_es=entry.name_es,
                exact_g=entry.mass_g,
                mass_g=rounded.masses[at],
                step_g=steps[at],
                tolerance_g=tolerance * entry.mass_g,
                error=rounded.errors[at],
                addition=entry.addition,
                after_development=entry.late,
                temp_c=entry.temp_c,
                note=entry.note,
                says=(*entry.says, "finer-scale") if finer else entry.says,
            )
        )
    return tuple(rows)


def _butter(lines: Sequence[LineAmount], kind: PartKind, pantry: Pantry) -> tuple[ButterCondition | None, float | None]:
    """How the butter must be, and the temperature to print: the formula's own, else the middle of the range."""
    butter = [line for line in lines if line.line.part is None and is_butter(pantry.find(line.key))]
    if not butter:
        return None, None
    own_c = next((line.line.temp_c for line in butter if line.line.temp_c is not None), None)
    condition = {"roll-in": _ROLLED_IN, "dough": _INTO_DOUGH, "preferment": _INTO_DOUGH}.get(kind, _CREAMED)
    if own_c is not None and own_c >= _MELTED_FROM_C:
        condition = _MELTED
    return condition, (condition.low_c + condition.high_c) / 2 if own_c is None else own_c


def _hold_back_g(lines: Sequence[LineAmount], kind: PartKind, pantry: Pantry) -> float | None:
    """A twentieth of the water (or of the largest liquid, where there is no water) of a dough."""
    if kind != "dough":
        return None
    poured = [line for line in lines if _water(line, pantry)] or steering_lines(lines, pantry)
    mass_g = sum(line.mass_g for line in poured)
    return HOLD_BACK_FRACTION * mass_g if mass_g > 0 else None


def _water(line: LineAmount, pantry: Pantry) -> bool:
    return line.line.part is None and is_water(pantry.find(line.key))
