"""The drawings of a formula's shaping, each with its measures in words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.scaling import Scaled
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.process.shaped import PanShape, PieceShape, Rolled, Shaped, SheetShape, shaped
from smallhours.errors import BadInput
from smallhours.sheets.shaping.canvas import THIN, Canvas
from smallhours.sheets.words import Speech, speech

_WAITING = "1.4 1"  # dashes of what is not there yet
_STEP = math.pi / 18


@dataclass(frozen=True)
class Drawn:
    """One drawing: its title, the SVG, and sentences of what is measured in it."""

    title: str
    svg: str
    told: tuple[str, ...]


def shaping_drawings(formula: Formula, scaled: Scaled, kitchen: Kitchen | None, lang: str = "en") -> tuple[Drawn, ...]:
    """What of a (joined) formula's shaping can be drawn to scale; nothing if it does not say enough.

    Raises NotFound for a language that is not there.
    """
    words = speech(lang)
    try:
        found = shaped(formula, scaled, kitchen)
    except BadInput:
        return ()
    drawn = []
    if found.sheet is not None:
        drawn.append(_sheet(found.sheet, formula, words))
        if found.sheet.rolled is not None:
            drawn += [_log(found.sheet.rolled, formula, words), _end(found.sheet.rolled, formula, words)]
    if found.pan is not None:
        drawn += [_from_above(found.pan, formula, words), _from_the_side(found, found.pan, formula, words)]
    elif found.piece is not None:
        drawn.append(_alone(found, found.piece, formula, words))
    return tuple(drawn)


def _done(canvas: Canvas, title: str, told: list[str]) -> Drawn:
    return Drawn(title, canvas.finished(title, " ".join(told)), tuple(told))


def _sheet(sheet: SheetShape, formula: Formula, words: Speech) -> Drawn:
    canvas = Canvas(f"{formula.id} sheet", sheet.length_mm, sheet.width_mm, words)
    canvas.box("unknown", 0, 0, sheet.length_mm, sheet.width_mm)
    canvas.across(words.length(sheet.length_mm))
    canvas.say(canvas.x(sheet.length_mm / 2), canvas.y(sheet.width_mm / 2), words.length(sheet.width_mm), dress="quiet")
    told = [
        words.say(
            "shaped.sheet",
            length=words.length(sheet.length_mm),
            width=words.length(sheet.width_mm),
            thick=words.length(sheet.thickness_mm),
        )
    ]
    if sheet.rolled is not None:
        _arrow(canvas, sheet)
        told.append(words.say("shaped.roll-up", length=words.length(sheet.rolled.rolled_mm)))
    if sheet.pieces is not None:
        told.append(words.say("shaped.cut", count=sheet.pieces))
    if sheet.layers is not None:
        told.append(words.say("shaped.layers", count=sheet.layers))
    return _done(canvas, words.say("shaped.title-sheet"), told)


def _arrow(canvas: Canvas, sheet: SheetShape) -> None:
    """Which way it is rolled up: across the side that becomes the log."""
    along = sheet.rolled is not None and sheet.rolled.length_mm == sheet.length_mm
    length, width = sheet.length_mm, sheet.width_mm
    size = 0.04 * max(length, width)
    if along:
        x, begin, end = 0.12 * length, 0.85 * width, 0.15 * width
        canvas.rule("due", x, begin, x, end, 0.7)
        canvas.path("due", [(x - size, end + size), (x, end), (x + size, end + size)])
    else:
        y, begin, end = 0.85 * width, 0.12 * length, 0.85 * length
        canvas.rule("due", begin, y, end, y, 0.7)
        canvas.path("due", [(end - size, y - size), (end, y), (end - size, y + size)])


def _log(rolled: Rolled, formula: Formula, words: Speech) -> Drawn:
    canvas = Canvas(f"{formula.id} log", rolled.length_mm, rolled.diameter_mm, words)
    canvas.box("unknown", 0, 0, rolled.length_mm, rolled.diameter_mm, rx=1.0)
    canvas.across(words.length(rolled.length_mm))
    told = [words.say("shaped.log", length=words.length(rolled.length_mm), thick=words.length(rolled.diameter_mm))]
    if rolled.slice_mm is not None:
        for n in range(1, rolled.slices + 1):
            x = n * rolled.slice_mm
            if x < rolled.length_mm - 0.01:
                canvas.rule("due", x, -0.08 * rolled.diameter_mm, x, 1.08 * rolled.diameter_mm, 0.4)
        told.append(words.say("shaped.slices", count=rolled.slices, width=words.length(rolled.slice_mm)))
        if rolled.rest_mm > 0.5:
            told.append(words.say("shaped.rest", length=words.length(rolled.rest_mm)))
    return _done(canvas, words.say("shaped.title-log"), told)


def _end(rolled: Rolled, formula: Formula, words: Speech) -> Drawn:
    """The end face: the seam between two turns winds as an Archimedean spiral."""
    wide = rolled.diameter_mm
    canvas = Canvas(f"{formula.id} end", wide * 2.2, wide, words, left=4.0)
    middle = (1.1 * wide, wide / 2)
    canvas.oval("unknown", *middle, wide, wide)
    pitch = (rolled.dough_mm + rolled.filling_mm) / (2 * math.pi)
    steps = max(2, round(rolled.turns * 2 * math.pi / _STEP))
    turned = [rolled.turns * 2 * math.pi * n / steps for n in range(steps + 1)]
    line = [(middle[0] + pitch * a * math.cos(a), middle[1] + pitch * a * math.sin(a)) for a in turned]
    thick = max(THIN, rolled.filling_mm * canvas.scale)
    canvas.path("edge", line, **{"stroke-width": thick, "stroke-linecap": "round"})
    told = [
        words.say(
            "shaped.end",
            thick=words.length(rolled.diameter_mm),
            turns=words.short(rolled.turns, 1),
            dough=words.length(rolled.dough_mm),
        )
    ]
    if rolled.filling_mm > 0:
        told.append(words.say("shaped.filling", thick=words.length(rolled.filling_mm)))
    return _done(canvas, words.say("shaped.title-end"), told)


def _piece(canvas: Canvas, piece: PieceShape, x: float, y: float, turned: bool, **more: object) -> None:
    wide, high = (piece.width_mm, piece.length_mm) if turned else (piece.length_mm, piece.width_mm)
    if piece.outline == "round":
        canvas.oval("unknown", x, y, wide, high, **more)
    else:
        round_by = min(wide, high) / 2 * canvas.scale if piece.outline == "long" else 1.0
        canvas.box("unknown", x - wide / 2, y - high / 2, wide, high, rx=round_by, **more)


def _from_above(pan: PanShape, formula: Formula, words: Speech) -> Drawn:
    canvas = Canvas(f"{formula.id} pan", pan.length_mm, pan.width_mm, words)
    canvas.box("paper", 0, 0, pan.length_mm, pan.width_mm, rx=1.5, stroke="currentColor")
    canvas.across(words.length(pan.length_mm))
    turned = pan.before.outline == "long" and pan.rows == 1 and pan.pieces > 1
    spots = [
        ((n % pan.columns + 0.5) * pan.length_mm / pan.columns, (n // pan.columns + 0.5) * pan.width_mm / pan.rows)
        for n in range(pan.pieces)
    ]
    for x, y in spots:
        _piece(canvas, pan.before, x, y, turned)
    if pan.after is not None:
        for x, y in spots:
            _piece(canvas, pan.after, x, y, turned, fill_opacity=0.0, stroke_dasharray=_WAITING)
    told = [
        words.say(
            "shaped.pan", name=pan.name, length=words.length(pan.length_mm), width=words.length(pan.width_mm),
            count=pan.pieces,
        )
    ]  # fmt: skip
    told += _sizes(pan.before, pan.after, words)
    if pan.touching is not None:
        key = "shaped.touching" if pan.touching > 0.005 else "shaped.free"
        told.append(words.say(key, percent=words.number(100 * pan.touching)))
    return _done(canvas, words.say("shaped.title-pan"), told)


def _from_the_side(found: Shaped, pan: PanShape, formula: Formula, words: Speech) -> Drawn:
    """Tins by how full they are, trays by how high a piece stands."""
    before, after = _heights(pan)
    high = max(before, after or 0.0, pan.depth_mm or 0.0) * 1.05
    canvas = Canvas(f"{formula.id} side", pan.length_mm, high, words, top=3.0)
    level = pan.filled_before is not None
    for tall, waiting in ((before, False), (after, True)):
        if tall is None:
            continue
        more: dict[str, object] = {"fill_opacity": 0.0, "stroke_dasharray": _WAITING} if waiting else {}
        if level:
            canvas.box("unknown", 0, high - tall, pan.length_mm, tall, **more)
            continue
        shape = (pan.after or pan.before) if waiting else pan.before
        wide = shape.width_mm if shape.outline == "round" or (pan.rows == 1 and pan.pieces > 1) else shape.length_mm
        for n in range(pan.columns):
            x = (n + 0.5) * pan.length_mm / pan.columns
            canvas.oval("unknown", x, high - tall / 2, wide, tall, **more)
    if pan.depth_mm is not None:
        canvas.path(
            "edge", [(0, high - pan.depth_mm), (0, high), (pan.length_mm, high), (pan.length_mm, high - pan.depth_mm)]
        )
    told = []
    if pan.filled_before is not None:
        told.append(words.say("shaped.full", percent=words.number(100 * pan.filled_before)))
    if pan.filled_after is not None:
        told.append(words.say("shaped.full-after", percent=words.number(100 * pan.filled_after)))
    if not level:
        told.append(words.say("shaped.high", before=words.length(before)))
        if after is not None:
            told.append(words.say("shaped.high-after", after=words.length(after)))
    if found.growth is not None:
        told.append(words.say("shaped.growth", times=words.short(found.growth, 2)))
    return _done(canvas, words.say("shaped.title-side"), told)


def _heights(pan: PanShape) -> tuple[float, float | None]:
    """How high the dough stands before and after: in a tin its level, on a tray each piece."""
    area = pan.length_mm * pan.width_mm
    if pan.filled_before is None:
        return pan.before.height_mm, None if pan.after is None else pan.after.height_mm
    after = None if pan.after is None else pan.pieces * pan.after.volume_ml * 1000.0 / area
    return pan.pieces * pan.before.volume_ml * 1000.0 / area, after


def _alone(found: Shaped, piece: PieceShape, formula: Formula, words: Speech) -> Drawn:
    """A piece without a pan that is known: from above."""
    most = found.risen or piece
    canvas = Canvas(f"{formula.id} piece", most.length_mm * 1.6, most.width_mm * 1.1, words)
    x, y = most.length_mm * 0.8, most.width_mm * 0.55
    _piece(canvas, piece, x, y, False)
    if found.risen is not None:
        _piece(canvas, found.risen, x, y, False, fill_opacity=0.0, stroke_dasharray=_WAITING)
    return _done(canvas, words.say("shaped.title-piece"), _sizes(piece, found.risen, words))


def _sizes(before: PieceShape, after: PieceShape | None, words: Speech) -> list[str]:
    names = (
        ("shaped.round", "shaped.round-after") if before.outline == "round" else ("shaped.long", "shaped.long-after")
    )
    return [
        words.say(name, length=words.length(piece.length_mm), width=words.length(piece.width_mm))
        for name, piece in zip(names, (before, after), strict=True)
        if piece is not None
    ]
