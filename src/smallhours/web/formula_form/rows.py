"""Which fields each row of the form has: the name in the form, the name in the document, the kind."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, get_args

from smallhours.bakery.document import Document
from smallhours.bakery.formula.document import Attention, PartKind, Place, Shaping, StageKind
from smallhours.sheets.words import Speech
from smallhours.web.formula_form import kinds as k

PART_KINDS = get_args(PartKind)
STAGE_KINDS = get_args(StageKind)
PLACES = get_args(Place)
ATTENTION = get_args(Attention)
FORMS = get_args(Shaping.model_fields["form"].annotation)
OVENS = ("deck", "convection")
REST = "rest"  # what a row says that has no field, as JSON


@dataclass(frozen=True)
class Spec:
    """One field. ``needed``: an empty one is said to be missing."""

    name: str
    field: str
    kind: k.Kind
    needed: bool = False


_PLACE = k.choice(*PLACES)
FORMULA = (
    Spec("name", "name", k.WORDS, needed=True),
    Spec("pan", "pan", k.WORDS),
    Spec("pieces-per-pan", "pieces_per_pan", k.COUNT),
    Spec("fresh", "fresh_s", k.DURATION),
    Spec("note", "note", k.TEXT),
)
PART = (
    Spec("id", "id", k.WORDS),
    Spec("name", "name", k.WORDS, needed=True),
    Spec("kind", "kind", k.choice(*PART_KINDS), needed=True),
    Spec("on", "percent_on", k.WORDS),
    Spec("target", "target_temp_c", k.TEMP),
    Spec("keeps", "keeps_s", k.DURATION),
    Spec("keeps-in", "keeps_in", _PLACE),
)
LINE = (
    Spec("addition", "addition", k.Kind(k.between(1, 20, whole=True), str)),
    Spec("temp", "temp_c", k.TEMP),
    Spec("note", "note", k.WORDS),
)
OUTPUT = (
    Spec("mix-loss", "mix_loss_percent", k.LOSS),
    Spec("divide-loss", "divide_loss_percent", k.LOSS),
    Spec("bake-loss", "bake_loss_percent", k.LOSS),
)
STAGE = (
    Spec("kind", "kind", k.choice(*STAGE_KINDS), needed=True),
    Spec("part", "part", k.WORDS),
    Spec("name", "name", k.WORDS),
    Spec("place", "place", _PLACE),
    Spec("duration", "duration_s", k.DURATION),
    Spec("per-piece", "per_piece_s", k.DURATION),
    Spec("min", "min_s", k.DURATION),
    Spec("max", "max_s", k.DURATION),
    Spec("at", "at_temp_c", k.TEMP),
    Spec("temper", "temper_s", k.DURATION),
    Spec("low", "low_s", k.DURATION),
    Spec("high", "high_s", k.DURATION),
    Spec("rise", "rise", k.RISE),
    Spec("set", "set_temp_c", k.TEMP),
    Spec("give", "set_temp_give_k", k.GIVE),
    Spec("core", "core_temp_c", k.TEMP),
    Spec("steam", "steam", k.CHECK),
    Spec("shut", "shut_s", k.DURATION),
    Spec("oven", "oven", k.choice(*OVENS)),
    Spec("attention", "attention", k.choice(*ATTENTION)),
    Spec("hands-start", "hands_start_s", k.DURATION),
    Spec("hands-end", "hands_end_s", k.DURATION),
    Spec("note", "note", k.WORDS),
)
WAY = (
    Spec("place", "place", _PLACE, needed=True),
    Spec("duration", "duration_s", k.DURATION, needed=True),
    Spec("min", "min_s", k.DURATION),
    Spec("max", "max_s", k.DURATION),
    Spec("at", "at_temp_c", k.TEMP),
    Spec("temper", "temper_s", k.DURATION),
    Spec("name", "name", k.WORDS),
)
SHAPING = (
    Spec("form", "form", k.choice(*FORMS)),
    Spec("strands", "strands", k.COUNT),
    Spec("strand-length", "strand_length_mm", k.LENGTH),
    Spec("piece-length", "piece_length_mm", k.LENGTH),
    Spec("piece-width", "piece_width_mm", k.LENGTH),
    Spec("note", "note", k.WORDS),
)
SHEET = (
    Spec("length", "length_mm", k.LENGTH, needed=True),
    Spec("width", "width_mm", k.LENGTH, needed=True),
    Spec("thickness", "thickness_mm", k.LENGTH),
    Spec("dough", "dough_mass_g", k.MASS),
    Spec("along", "roll_along", k.choice("length", "width")),
    Spec("slice", "slice_width_mm", k.LENGTH),
    Spec("slices", "slices", k.COUNT),
    Spec("pieces", "pieces", k.COUNT),
)


def write_row(
    prefix: str, specs: Iterable[Spec], document: Document, speech: Speech, apart: Iterable[str] = ()
) -> dict[str, str]:
    """A document as the texts of its row; what no field shows (but ``apart``) goes along unseen."""
    texts = {}
    for spec in specs:
        value = getattr(document, spec.field)
        if spec.kind is k.CHECK:
            texts |= {prefix + spec.name: "on"} if value else {}
        else:
            texts[prefix + spec.name] = k.written(spec.kind, value, speech)
    shown = {spec.field for spec in specs} | set(apart)
    rest = {name: value for name, value in document.to_json_data().items() if name not in shown}
    defaults = {name for name, field in type(document).model_fields.items() if getattr(document, name) == field.default}
    kept = {name: value for name, value in rest.items() if name not in defaults and value not in ([], {})}
    return {**texts, **({prefix + REST: json.dumps(kept, ensure_ascii=False)} if kept else {})}


def read_row(
    prefix: str, specs: Iterable[Spec], texts: k.Texts, wrong: dict[str, k.Wrong], form: type[Document]
) -> dict[str, Any]:
    """The data of a row; what is wrong with a field is noted under its name. Empty fields are left out."""
    data = _rest(texts.get(prefix + REST, ""), form, {spec.field for spec in specs})
    for spec in specs:
        text = texts.get(prefix + spec.name, "")
        if not text.strip():
            if spec.needed:
                wrong[prefix + spec.name] = k.Wrong("form.missing")
            continue
        try:
            data[spec.field] = spec.kind.read(text)
        except k.Wrong as found:
            wrong[prefix + spec.name] = found
    return data


def _rest(text: str, form: type[Document], shown: set[str]) -> dict[str, Any]:
    """What goes along unseen, as far as it is something this document has; the document itself checks the values."""
    try:
        data = json.loads(text) if text else {}
    except ValueError:
        return {}
    if not isinstance(data, dict):
        return {}
    return {name: value for name, value in data.items() if name in form.model_fields and name not in shown}
