"""The oven list: for each oven in order of time when to heat it, load it, with what, and when that comes out."""

from __future__ import annotations

from smallhours.bakery.process.cautions import Caution
from smallhours.planning.plan import OvenStretch, PlanLot, PlanTask
from smallhours.sheets.cautions import sentences
from smallhours.sheets.frame import Data, Frame

_WORDS = {
    "load": "oven-list.load", "product": "oven-list.product", "trays": "oven-list.trays", "set": "oven-list.set",
    "out": "oven-list.out",
}  # fmt: skip
_MIND = (Caution("hot-oven"), Caution("steam"), Caution("hot-trays"))


def oven_data(frame: Frame) -> Data:
    """Data of the oven list: one document for all ovens."""
    plan = frame.papers.plan
    decks = [resource.id for resource in plan.resources if resource.kind == "deck"]
    known = set(decks)
    for task in plan.tasks:
        if task.kind == "bake" and (deck := deck_of(frame, task)) not in known:
            known.add(deck)
            decks.append(deck)
    sections = [section for deck in decks if (section := _section(frame, deck))["rows"]]
    if not sections:
        return frame.document("oven", [], _WORDS)
    page = {
        **frame.page("oven", frame.speech.say("sheet.oven"), "", plan.kitchen_name, "ovens"),
        "sections": sections,
        "cautions": sentences(_MIND, frame.speech),
    }
    return frame.document("oven", [page], _WORDS)


def deck_of(frame: Frame, task: PlanTask) -> str:
    """The deck a bake stands in."""
    kinds = {resource.id: resource.kind for resource in frame.papers.plan.resources}
    return next((use.resource for use in task.uses if kinds.get(use.resource) == "deck"), task.place)


def _section(frame: Frame, deck: str) -> Data:
    plan = frame.papers.plan
    rows = [(task.start, 1, _load(frame, task)) for task in plan.tasks if _baked_in(frame, task, deck)]
    rows += [(stretch.heat_from, 0, _heat(frame, stretch)) for stretch in plan.ovens if stretch.deck == deck]
    rows.sort(key=lambda row: row[:2])
    return {"title": frame.papers.names.get(deck, deck), "rows": [row for _, _, row in rows]}


def _baked_in(frame: Frame, task: PlanTask, deck: str) -> bool:
    return task.kind == "bake" and deck_of(frame, task) == deck


def _heat(frame: Frame, stretch: OvenStretch) -> Data:
    say = frame.speech.say
    return {
        "heat": say(
            "oven-list.preheat", temp=frame.speech.temp(stretch.set_temp_c), clock=frame.clock(stretch.heat_from)
        ),
        "ready": say("oven-list.ready-by", clock=frame.clock(stretch.start)),
    }


def _load(frame: Frame, task: PlanTask) -> Data:
    speech, papers = frame.speech, frame.papers
    lot = _lot(frame, task)
    name = lot.name if lot else papers.formula(task.formula).name
    pieces = lot.pieces if lot else task.pieces
    deck = deck_of(frame, task)
    trays = next((use.amount for use in task.uses if use.resource == deck), lot.tray_places if lot else 0)
    core_c = _core_temp_c(frame, task)
    return {
        "heat": "",
        "load": frame.clock(task.start),
        "product": f"{papers.mark(task.lot or task.batch)}  {name}",
        "pieces": "" if pieces is None else f"{speech.number(pieces)} {speech.say('unit.pieces')}",
        "trays": speech.number(trays),
        "set": "" if task.set_temp_c is None else speech.temp(task.set_temp_c),
        "steam": _steam(frame, task),
        "out": frame.clock(task.end),
        "core": "" if core_c is None else f"{speech.say('oven-list.core')} {speech.temp(core_c)}",
    }


def _steam(frame: Frame, task: PlanTask) -> str:
    """How long it is kept in; a plan from before that was said only says that there is some."""
    if task.steam and task.shut_s:
        return frame.speech.duration(task.shut_s)
    return frame.speech.say("oven-list.yes") if task.steam else ""


def _lot(frame: Frame, task: PlanTask) -> PlanLot | None:
    return next((lot for batch in frame.papers.plan.batches for lot in batch.lots if lot.id == task.lot), None)


def _core_temp_c(frame: Frame, task: PlanTask) -> float | None:
    stages = frame.papers.formula(task.formula).stages_of(task.part)
    return next((s.core_temp_c for s in stages if s.key == task.stage), None)
