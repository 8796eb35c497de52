"""The bench sheet of a product: sizes, and for each dough and lot what happens when, where, how long."""

from __future__ import annotations

import math
from collections.abc import Iterator

from smallhours.bakery.formula.document import Formula, Sheet, Stage
from smallhours.planning.plan import PlanBatch, PlanLot, PlanTask
from smallhours.sheets.cautions import for_product, kept_free, sentences
from smallhours.sheets.frame import Data, Frame
from smallhours.sheets.ribbons import lot_svg

_WORDS = {
    "from": "bench-sheet.from",
    "stage": "bench-sheet.stage",
    "time": "bench-sheet.time",
    "where": "bench-sheet.where",
}
Lots = list[tuple[PlanBatch, PlanLot]]


def bench_data(frame: Frame) -> Data:
    """Data of all bench sheets, a page or more for each product, in order of their first dough."""
    lots: dict[str, Lots] = {}
    for batch in frame.papers.batches():
        for lot in batch.lots:
            lots.setdefault(lot.product, []).append((batch, lot))
    return frame.document("bench", [_page(frame, product, own) for product, own in lots.items()], _WORDS)


def _page(frame: Frame, product: str, lots: Lots) -> Data:
    formula, say = frame.papers.formula(product), frame.speech.say
    pieces = sum(lot.pieces for _, lot in lots)
    marks = frame.speech.listed(frame.papers.mark(lot.id) for _, lot in lots)
    subtitle = f"{marks} · {frame.speech.number(pieces)} {say('unit.pieces' if pieces != 1 else 'unit.piece')}"
    return {
        **frame.page("bench", formula.name, "", subtitle, "product", product),
        "figures": list(_figures(frame, formula, lots)),
        "shaping": list(_shaping(frame, formula)),
        "sections": list(_sections(frame, formula, lots)),
        "cautions": [
            *kept_free([t for _, lot in lots for t in frame.papers.tasks_of(lot.id)], frame.papers.names, frame.speech),
            *([formula.note] if formula.note else []),
            *formula.cautions,
            *sentences(for_product(formula, frame.papers.pantry), frame.speech),
        ],
    }


def _figures(frame: Frame, formula: Formula, lots: Lots) -> Iterator[Data]:
    speech = frame.speech
    yield frame.figure("bench-sheet.piece-mass", speech.mass(lots[0][1].piece_mass_g), strong=True)
    yield frame.figure("bench-sheet.pieces", " + ".join(speech.number(lot.pieces) for _, lot in lots))
    pans = sum(lot.pans for _, lot in lots)
    if pans:
        name = next((pan.name for pan in frame.papers.kitchen.pans if pan.id == formula.pan), "")
        each = speech.say("bench-sheet.per-pan", count=formula.pieces_per_pan)
        yield frame.figure("bench-sheet.pans", speech.number(pans), f"{name}, {each}" if name else each)
    bake = next((stage for stage in formula.stages_of(formula.main) if stage.kind == "bake"), None)
    if bake is not None and bake.set_temp_c is not None:
        steam = speech.say("bench-sheet.steam" if bake.steam else "bench-sheet.no-steam")
        yield frame.figure("bench-sheet.set", speech.temp(_set_temp_c(frame, lots, bake.set_temp_c)), steam)
        if bake.core_temp_c is not None:
            yield frame.figure("bench-sheet.core", speech.temp(bake.core_temp_c))


def _set_temp_c(frame: Frame, lots: Lots, written_c: float) -> float:
    """What the plan sets the oven to for the first lot, which may be a little off what the formula says."""
    baked = [t for t in frame.papers.tasks_of(lots[0][1].id) if t.kind == "bake" and t.set_temp_c is not None]
    return written_c if not baked or baked[0].set_temp_c is None else baked[0].set_temp_c


def _shaping(frame: Frame, formula: Formula) -> Iterator[Data]:
    shaping, speech = formula.shaping, frame.speech
    if shaping is None:
        return
    if shaping.sheet is not None:
        yield from _sheet(frame, shaping.sheet)
    else:
        yield frame.figure("bench-sheet.form", speech.say(f"form.{shaping.form}"), shaping.note or "")
    if shaping.strands is not None:
        length = "" if shaping.strand_length_mm is None else speech.length(shaping.strand_length_mm)
        told = speech.say("bench-sheet.strands-note", count=shaping.strands, length=length) if length else ""
        yield frame.figure("bench-sheet.strands", told or str(shaping.strands))
    sides = [side for side in (shaping.piece_length_mm, shaping.piece_width_mm) if side is not None]
    if sides:
        yield frame.figure("bench-sheet.piece-size", " × ".join(speech.length(side) for side in sides))


def _sheet(frame: Frame, sheet: Sheet) -> Iterator[Data]:
    speech = frame.speech
    size = f"{speech.length(sheet.length_mm)} × {speech.length(sheet.width_mm)}"
    yield frame.figure("bench-sheet.sheet-size", size, strong=True)
    if sheet.thickness_mm is not None:
        yield frame.figure("bench-sheet.thickness", speech.length(sheet.thickness_mm), strong=True)
    if sheet.dough_mass_g is not None:
        yield frame.figure("bench-sheet.dough-per-sheet", speech.mass(sheet.dough_mass_g))
    if sheet.roll_along is not None:
        log_mm = sheet.length_mm if sheet.roll_along == "length" else sheet.width_mm
        across = roll_diameter_mm(sheet)
        note = "" if across is None else speech.say(
            "bench-sheet.roll-note", length=speech.length(log_mm), diameter=speech.length(across)
        )  # fmt: skip
        yield frame.figure("bench-sheet.roll", speech.length(log_mm), note)
    if sheet.slice_width_mm is not None:
        log_mm = sheet.length_mm if sheet.roll_along != "width" else sheet.width_mm
        count = sheet.slices or round(log_mm / sheet.slice_width_mm)
        told = speech.say("bench-sheet.slices-note", count=count, width=speech.length(sheet.slice_width_mm))
        yield frame.figure("bench-sheet.slices", told, strong=True)
    if sheet.folds:
        yield frame.figure("bench-sheet.folds", " + ".join(str(fold) for fold in sheet.folds))
    if sheet.pieces is not None:
        yield frame.figure("bench-sheet.pieces-cut", speech.number(sheet.pieces))


def roll_diameter_mm(sheet: Sheet) -> float | None:
    """Diameter of the log that a sheet is rolled into, of dough alone and without gaps; None without a thickness.

    The section of the log is the section of the sheet: pi/4 d² = side x thickness (exact for an incompressible
    dough). Filling and air make it larger.
    """
    if sheet.thickness_mm is None or sheet.roll_along is None:
        return None
    rolled_mm = sheet.width_mm if sheet.roll_along == "length" else sheet.length_mm
    return math.sqrt(4.0 * rolled_mm * sheet.thickness_mm / math.pi)


def _sections(frame: Frame, formula: Formula, lots: Lots) -> Iterator[Data]:
    say, speech, papers = frame.speech.say, frame.speech, frame.papers
    seen: set[str] = set()
    for batch, lot in lots:
        if batch.id not in seen and papers.tasks_of(batch.id):
            seen.add(batch.id)
            title = say("bench-sheet.dough", mark=papers.mark(batch.id), name=batch.name)
            yield _section(frame, formula, batch.id, f"{title}, {speech.kilograms(batch.mass_g)}", "", picture=False)
        facts = [f"{say('bench-sheet.trays')}: {lot.tray_places}"] if lot.tray_places else []
        facts.append(f"{say('bench-sheet.due')}: {frame.clock(lot.due)}")
        if lot.ready is not None:
            facts.append(f"{say('bench-sheet.ready')}: {frame.clock(lot.ready)}")
        title = say("bench-sheet.head-lot", mark=papers.mark(lot.id), pieces=speech.number(lot.pieces))
        yield _section(frame, formula, lot.id, title, " · ".join(facts), picture=True)


def _section(frame: Frame, formula: Formula, of: str, title: str, subtitle: str, picture: bool) -> Data:
    papers = frame.papers
    shown = picture and of in papers.strands
    return {
        "title": title,
        "subtitle": subtitle,
        "svg": lot_svg(papers.plan, of, lang=frame.lang) if shown else "",
        "alt": frame.speech.say("sheet.ribbon-alt", name=title),
        "rows": [_row(frame, formula, task) for task in papers.tasks_of(of)],
    }


def _row(frame: Frame, formula: Formula, task: PlanTask) -> Data:
    speech, papers = frame.speech, frame.papers
    stage = _stage(formula, task)
    length_s = (task.end - task.start).total_seconds()
    used = [papers.names[use.resource] for use in task.uses if use.resource in papers.names]
    where = papers.names.get(task.place) or (used[0] if used else speech.or_own(f"place.{task.place}", None))
    people = dict.fromkeys(papers.names.get(hands.person, hands.person) for hands in task.hands)
    return {
        "from": frame.clock(task.start),
        "stage": stage_name(frame, task),
        "time": speech.duration(length_s),
        "window": frame.spread(task.window.low_s, task.window.high_s),
        "where": where,
        "hands": speech.listed(people),
        "note": (stage.note or "") if stage else "",
        "set": speech.temp(task.set_temp_c) if task.kind == "bake" and task.set_temp_c is not None else "",
    }


def stage_name(frame: Frame, task: PlanTask) -> str:
    """What a task is called: the baker's own name for the stage, or the trade's."""
    return frame.speech.or_own(f"stage.{task.kind}", task.name if task.name not in (task.kind, task.stage) else None)


def _stage(formula: Formula, task: PlanTask) -> Stage | None:
    return next((s for s in formula.stages_of(task.part) if s.key == task.stage), None)
