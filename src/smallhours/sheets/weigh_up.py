"""The weigh-up sheet of each bowl: what goes in, in turn, at the scale's step; how cold the liquid must be."""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.part_amounts import part_amounts
from smallhours.bakery.orders.batches import Batch
from smallhours.bakery.process.liquid import liquid_for
from smallhours.bakery.process.weigh_up import WeighRow, WeighUp, weigh_up
from smallhours.planning.plan import LiquidAdvice, PlanBatch
from smallhours.sheets.cautions import kept_free, sentences
from smallhours.sheets.frame import Data, Frame

_WORDS = {
    "ingredient": "weigh.ingredient", "mass": "weigh.mass", "tolerance": "weigh.tolerance", "total": "weigh.total",
}  # fmt: skip


def weigh_up_data(frame: Frame) -> Data:
    """Data of all weigh-up sheets, one page for each bowl in the order in which they are begun."""
    return frame.document("weigh-up", [_page(frame, batch) for batch in frame.papers.batches()], _WORDS)


def weighed(frame: Frame, batch: PlanBatch) -> WeighUp:
    """The weigh-up of one bowl of the plan."""
    papers = frame.papers
    formula = papers.formula(batch.formula)
    pieces = sum(lot.pieces for lot in batch.lots) or None
    amounts = part_amounts(formula, batch.part, batch.mass_g, papers.pantry, pieces)
    mixers = (batch.mixer,) if batch.mixer else ()
    bowl = Batch(
        batch.id, formula, batch.part, batch.part_kind, batch.mass_g, amounts.flour_g, (), mixers, batch.feeds, amounts
    )
    return weigh_up(bowl, papers.pantry, papers.kitchen, advice_for(frame, batch))


def _page(frame: Frame, batch: PlanBatch) -> Data:
    speech, papers = frame.speech, frame.papers
    formula = papers.formula(batch.formula)
    sheet = weighed(frame, batch)
    return {
        **frame.page("weigh-up", batch.name, papers.mark(batch.id), _subtitle(frame, batch), "batch", batch.id),
        "figures": list(_figures(frame, formula, batch)),
        "temperatures": list(_temperatures(frame, formula, batch, sheet)),
        "groups": list(_groups(frame, sheet)),
        "total": speech.mass(sheet.total_g, min((row.step_g for row in sheet.rows), default=1.0)),
        "cautions": [
            *kept_free(papers.tasks_of(batch.id), papers.names, speech),
            *(formula.cautions if batch.part == formula.main else ()),
            *sentences(sheet.cautions, speech),
        ],
    }


def _subtitle(frame: Frame, batch: PlanBatch) -> str:
    speech = frame.speech
    told = [speech.kilograms(batch.mass_g)]
    if batch.formula_revision is not None:
        told.append(speech.say("weigh.revision", number=batch.formula_revision))
    made = [f"{frame.papers.mark(lot.id)} {lot.name} × {speech.number(lot.pieces)}" for lot in batch.lots]
    if made:
        told.append(f"{speech.say('weigh.makes')}: {', '.join(made)}")
    fed = [f"{frame.papers.mark(b.id)} {b.name}" for b in frame.papers.plan.batches if b.id in batch.feeds]
    if fed:
        told.append(f"{speech.say('weigh.goes-into')}: {', '.join(fed)}")
    return " · ".join(told)


def _figures(frame: Frame, formula: Formula, batch: PlanBatch) -> Iterator[Data]:
    speech, papers = frame.speech, frame.papers
    mixer = papers.names.get(batch.mixer, batch.mixer) if batch.mixer else speech.say("weigh.by-hand")
    yield frame.figure("weigh.mixer", mixer)
    mix = next((task for task in papers.tasks_of(batch.id) if task.kind == "mix"), None)
    if mix is not None:
        yield frame.figure("weigh.start", frame.clock(mix.start), strong=True)
    stage = next((s for s in formula.stages_of(batch.part) if s.kind == "mix"), None)
    if stage is not None and stage.low_s:
        yield frame.figure("weigh.low", speech.duration(stage.low_s))
    if stage is not None and stage.high_s:
        yield frame.figure("weigh.high", speech.duration(stage.high_s))


def advice_for(frame: Frame, batch: PlanBatch) -> LiquidAdvice | None:
    """How cold the liquid must be: as the plan says, else reckoned here; None where nothing tempered goes in."""
    if batch.liquid is not None:
        return batch.liquid
    papers = frame.papers
    formula = papers.formula(batch.formula)
    part = formula.part(batch.part)
    if part.target_temp_c is None or not any(line.tempered for line in part.lines):
        return None
    answer = liquid_for(formula, papers.pantry, papers.kitchen, batch.part, batch.mass_g, batch.mixer)
    return LiquidAdvice(
        liquid=", ".join(answer.liquids),
        target_dough_temp_c=answer.target_c,
        liquid_temp_c=answer.liquid_temp_c,
        low_c=answer.low_c,
        high_c=answer.high_c,
        ice_g=answer.ice_g,
        rule_temp_c=answer.rule_temp_c,
        note=answer.refusal.sentence if answer.refusal else "",
    )


def _temperatures(frame: Frame, formula: Formula, batch: PlanBatch, sheet: WeighUp) -> Iterator[Data]:
    speech, advice = frame.speech, advice_for(frame, batch)
    if advice is not None:
        yield _liquid(frame, advice, sheet.hold_back_g)
        if advice.ice_g >= 1:
            yield frame.figure("weigh.ice", speech.mass(advice.ice_g), strong=True)
    if sheet.butter is not None and sheet.butter_temp_c is not None:
        condition = speech.say(f"weigh.butter-{sheet.butter.key}")
        yield frame.figure("weigh.butter", speech.temp(sheet.butter_temp_c), condition)
    target_c = advice.target_dough_temp_c if advice else formula.part(batch.part).target_temp_c
    if target_c is not None:
        target = frame.figure("weigh.target", speech.temp(target_c))
        yield {**target, "ask": speech.say("weigh.measured-dough"), "unit": "°C"}


def _liquid(frame: Frame, advice: LiquidAdvice, hold_back_g: float | None) -> Data:
    """The box with the liquid's temperature; a range only of what can be poured."""
    speech = frame.speech
    notes = [_liquid_names(frame, advice) + "."]
    if advice.low_c is not None and advice.high_c is not None:
        low, high = speech.number(advice.low_c), speech.temp(advice.high_c)
        if advice.low_c < advice.high_c:
            notes.append(speech.say("weigh.liquid-range", low=low, high=high))
    if advice.rule_temp_c is not None:
        notes.append(speech.say("weigh.liquid-rule", temp=speech.temp(advice.rule_temp_c)))
    if hold_back_g is not None and hold_back_g >= 5:
        notes.append(speech.say("weigh.hold-back", mass=speech.mass(5 * round(hold_back_g / 5))))
    return frame.figure("weigh.liquid", speech.temp(advice.liquid_temp_c), " ".join(notes), strong=True)


def _liquid_names(frame: Frame, advice: LiquidAdvice) -> str:
    pantry, names = frame.papers.pantry, []
    for key in advice.liquid.split(", "):
        stuff = pantry.find(key) if key in pantry else None
        names.append(key if stuff is None else stuff.name_es if frame.lang == "es" else stuff.name)
    return frame.speech.listed(names)


def _groups(frame: Frame, sheet: WeighUp) -> Iterator[Data]:
    groups: dict[tuple[int, bool], list[WeighRow]] = {}
    for row in sheet.rows:
        groups.setdefault((row.addition, row.after_development), []).append(row)
    for number, ((_, late), rows) in enumerate(groups.items(), 1):
        key = "weigh.first" if number == 1 else "weigh.addition"
        title = frame.speech.say(key, number=number)
        if late:
            title += ": " + frame.speech.say("weigh.later").lower()
        yield {"title": title, "rows": [_row(frame, row) for row in rows]}


def _row(frame: Frame, row: WeighRow) -> Data:
    speech = frame.speech
    notes = [speech.say("weigh.at-temp", temp=speech.temp(row.temp_c))] if row.temp_c is not None else []
    if row.note:
        notes.append(row.note)
    if "finer-scale" in row.says:
        notes.append(speech.say("weigh.finer-scale"))
    return {
        "name": row.name_es if frame.lang == "es" else row.name,
        "mass": speech.mass(row.mass_g, row.step_g),
        "tolerance": f"± {speech.short(row.tolerance_g, 0 if row.tolerance_g >= 10 else 1)}",
        "note": ", ".join(notes),
    }
