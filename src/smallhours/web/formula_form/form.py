"""The whole form: parts with lines, yield, shaping, stages; texts to a formula and back."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from smallhours.actions.known_ingredients import KnownIngredients
from smallhours.bakery.formula.document import Formula, Line, Part, Shaping, Sheet, Stage, Way, Yield
from smallhours.errors import DocumentError, Fault
from smallhours.sheets.words import Speech
from smallhours.web.formula_form import kinds as k
from smallhours.web.formula_form import rows
from smallhours.web.formula_form.places import Index, field_of, rows_of

MARKS = {"tempered": "tempered", "developed": "after_development"}
_LINE_APART = ("ingredient", "part", "percent", "mass_g", "flour_percent", *MARKS.values())
_PART_APART = ("lines", "ratio_percent", "ratio_to", "mass_per_piece_g", "mass_per_pan_g")
_SIZES = {
    "ratio": ("ratio_percent", k.PERCENT),
    "piece": ("mass_per_piece_g", k.MASS),
    "pan": ("mass_per_pan_g", k.MASS),
}
_AMOUNTS = {"percent": k.PERCENT, "mass_g": k.MASS, "flour_percent": k.PERCENT}
_PIECES = {"divided": "piece_mass_g", "sold": "baked_mass_g"}


@dataclass(frozen=True)
class Read:
    """What the form says. ``formula``: None if something is wrong; ``faults``: sentence by field ("" for the whole)."""

    formula: Formula | None
    faults: Mapping[str, str]
    told: Mapping[str, bool] = field(default_factory=dict)


def texts_of(formula: Formula, known: KnownIngredients, speech: Speech) -> dict[str, str]:
    """A formula as the texts of the form."""
    shown = ("id", "base", "main", "parts", "output", "shaping", "stages", "cautions")
    texts = rows.write_row("", rows.FORMULA, formula, speech, shown)
    texts |= {
        "id": formula.id,
        "base": formula.base or "",
        "main": formula.main,
        "cautions": "\n".join(formula.cautions),
    }
    for n, part in enumerate(formula.parts):
        texts |= _part_texts(f"p{n}-", part, formula, known, speech)
    if formula.output is not None:
        apart = tuple(_PIECES.values())
        texts |= rows.write_row("out-", rows.OUTPUT, formula.output, speech, apart)
        by = "divided" if formula.output.piece_mass_g is not None else "sold"
        texts |= {"out-by": by, "out-mass": k.written(k.MASS, getattr(formula.output, _PIECES[by]), speech)}
    if formula.shaping is not None:
        texts |= rows.write_row("shape-", rows.SHAPING, formula.shaping, speech, ("sheet",))
        if formula.shaping.sheet is not None:
            texts |= rows.write_row("sheet-", rows.SHEET, formula.shaping.sheet, speech, ("folds",))
            texts["sheet-folds"] = ", ".join(map(str, formula.shaping.sheet.folds))
    for n, stage in enumerate(formula.stages):
        texts |= rows.write_row(f"s{n}-", rows.STAGE, stage, speech, ("uses", "instead"))
        texts |= {f"s{n}-uses-{part}": "on" for part in stage.uses}
        for m, way in enumerate(stage.instead):
            texts |= rows.write_row(f"s{n}-w{m}-", rows.WAY, way, speech)
    return texts


def read_form(texts: k.Texts, known: KnownIngredients, speech: Speech) -> Read:
    """The formula in the form, or what is wrong with it, each with the field it is beside."""
    wrong: dict[str, k.Wrong] = {}
    index = rows_of(texts)
    data = _Reader(texts, index, known, speech, wrong).data()
    if wrong:
        return Read(None, {name: said(found, texts.get(name, ""), speech) for name, found in wrong.items()})
    try:
        return Read(Formula.read(data, "formula"), {})
    except DocumentError as error:
        return Read(None, *placed(error.faults, texts, index, data))


def said(found: k.Wrong, text: str, speech: Speech) -> str:
    """One sentence about a field."""
    shown = text if len(text) <= 40 else text[:39] + "…"
    return speech.say(found.key, found=shown, **found.more)


def placed(
    faults: tuple[Fault, ...], texts: k.Texts, index: Index, data: Mapping[str, Any]
) -> tuple[dict[str, str], dict[str, bool]]:
    """Faults of a document beside the fields they speak of (in English, as documents say them)."""
    beside: dict[str, str] = {}
    for fault in faults:
        name = field_of(fault.where, texts, index, data)
        sentence = fault.what if name else str(fault)
        beside[name] = f"{beside[name]} {sentence}" if name in beside else sentence
    return beside, dict.fromkeys(beside, True)


def _part_texts(prefix: str, part: Part, formula: Formula, known: KnownIngredients, speech: Speech) -> dict[str, str]:
    texts = rows.write_row(prefix, rows.PART, part, speech, _PART_APART)
    for size, (name, kind) in _SIZES.items():
        if getattr(part, name) is not None:
            texts |= {prefix + "size": size, prefix + "amount": k.written(kind, getattr(part, name), speech)}
    texts[prefix + "to"] = part.ratio_to or ""
    texts[prefix + "in"] = "mass" if part.lines[0].mass_g is not None else "percent"
    names = {one.id: one.name for one in formula.parts}
    for m, line in enumerate(part.lines):
        at = f"{prefix}l{m}-"
        texts |= rows.write_row(at, rows.LINE, line, speech, _LINE_APART)
        texts[at + "what"] = known.name_of(line.ingredient, speech.lang) if line.ingredient else names[line.part or ""]
        texts[at + "mark"] = " ".join(mark for mark, name in MARKS.items() if getattr(line, name))
        for unit, kind in _AMOUNTS.items():
            if getattr(line, unit) is not None:
                texts |= {at + "unit": unit, at + "amount": k.written(kind, getattr(line, unit), speech)}
    return texts


@dataclass(frozen=True)
class _Reader:
    """Reads the form into plain data of a formula, noting what is wrong."""

    texts: k.Texts
    index: Index
    known: KnownIngredients
    speech: Speech
    wrong: dict[str, k.Wrong]

    def data(self) -> dict[str, Any]:
        """The whole formula."""
        data = rows.read_row("", rows.FORMULA, self.texts, self.wrong, Formula)
        data["id"] = self.texts.get("id", "").strip()
        data["main"] = self.texts.get("main", "").strip() or "dough"
        if base := self.texts.get("base", "").strip():
            data["base"] = base
        data["cautions"] = [one for line in self.texts.get("cautions", "").splitlines() if (one := line.strip())]
        data["parts"] = [self.part(f"p{n}-") for n in self.index["p"]]
        data["stages"] = [self.stage(f"s{n}-") for n in self.index["s"]]
        data |= {"output": output} if (output := self.output()) else {}
        data |= {"shaping": shaping} if (shaping := self.shaping()) else {}
        return data

    def part(self, prefix: str) -> dict[str, Any]:
        """One part with its lines; lines of which nothing is filled in are left out."""
        data = rows.read_row(prefix, rows.PART, self.texts, self.wrong, Part)
        data["lines"] = [line for at in self.lines_of(prefix) if (line := self.line(at, prefix)) is not None]
        if not data["lines"] and not any(name.startswith(prefix + "l") for name in self.wrong):
            self.wrong[prefix + "name"] = k.Wrong("form.no-lines")
        size = self.texts.get(prefix + "size", "")
        if size in _SIZES:
            name, kind = _SIZES[size]
            data[name] = self.needed(prefix + "amount", kind)
            if size == "ratio":
                data["ratio_to"] = self.texts.get(prefix + "to", "") or self.texts.get("main", "") or "dough"
        return data

    def lines_of(self, prefix: str) -> Iterator[str]:
        """The prefixes of a part's lines."""
        for m in self.index[prefix + "l"]:
            yield f"{prefix}l{m}-"

    def line(self, at: str, part: str) -> dict[str, Any] | None:
        """One line of a part; None if it is empty. A part is written in masses or in percent, as it says."""
        what, amount = (self.texts.get(at + name, "").strip() for name in ("what", "amount"))
        if not what and not amount:
            return None
        data = rows.read_row(at, rows.LINE, self.texts, self.wrong, Line)
        data |= self.named(at, what)
        unit = "mass_g" if self.texts.get(part + "in") == "mass" else "percent"
        if unit == "percent" and "part" in data and self.texts.get(at + "unit") == "flour_percent":
            unit = "flour_percent"
        data |= {name: True for mark, name in MARKS.items() if mark in self.texts.get(at + "mark", "").split()}
        data[unit] = self.needed(at + "amount", _AMOUNTS[unit])
        return data

    def named(self, at: str, what: str) -> dict[str, str]:
        """What a line is of: a part of this formula by its name or id, else an ingredient."""
        if not what:
            self.wrong[at + "what"] = k.Wrong("form.missing")
            return {}
        wanted = " ".join(what.split()).casefold()
        for n in self.index["p"]:
            names = {self.texts.get(f"p{n}-{name}", "").strip().casefold() for name in ("name", "id")}
            if wanted in names:
                return {"part": self.texts.get(f"p{n}-id", "").strip()}
        key = self.known.key_of(what)
        if key is None:
            near = self.known.near(what, self.speech.lang)
            told = ", ".join(near)
            self.wrong[at + "what"] = k.Wrong("form.near", near=told) if near else k.Wrong("form.no-ingredient")
            return {}
        return {"ingredient": key}

    def needed(self, name: str, kind: k.Kind) -> Any:
        """The value of a field that must be filled in."""
        text = self.texts.get(name, "")
        try:
            if not text.strip():
                raise k.Wrong("form.missing")
            return kind.read(text)
        except k.Wrong as found:
            self.wrong[name] = found
            return None

    def output(self) -> dict[str, Any] | None:
        """Piece and losses; None if no piece mass is given."""
        if not self.texts.get("out-mass", "").strip():
            return None
        data = rows.read_row("out-", rows.OUTPUT, self.texts, self.wrong, Yield)
        data[_PIECES.get(self.texts.get("out-by", ""), "piece_mass_g")] = self.needed("out-mass", k.MASS)
        return data

    def shaping(self) -> dict[str, Any] | None:
        """How pieces are made; None if nothing is said."""
        data = rows.read_row("shape-", rows.SHAPING, self.texts, self.wrong, Shaping)
        if any(self.texts.get(f"sheet-{spec.name}", "").strip() for spec in rows.SHEET):
            data["sheet"] = rows.read_row("sheet-", rows.SHEET, self.texts, self.wrong, Sheet)
            data["sheet"]["folds"] = self.folds()
        return data or None

    def folds(self) -> list[int]:
        """Fold factors, like "3, 3, 4"."""
        text = self.texts.get("sheet-folds", "")
        folds = [one for one in re.split(r"[\s,;]+", text) if one]
        if not all(re.fullmatch(r"[2-8]", one, re.ASCII) for one in folds):
            self.wrong["sheet-folds"] = k.Wrong("form.folds")
            return []
        return [int(one) for one in folds]

    def stage(self, prefix: str) -> dict[str, Any]:
        """One stage with its other ways."""
        data = rows.read_row(prefix, rows.STAGE, self.texts, self.wrong, Stage)
        marks = self.index.uses.get(prefix, [])
        data["uses"] = [self.texts.get(f"p{n}-id", "") for n in self.index["p"]]
        data["uses"] = [part for part in data["uses"] if part in marks] + [m for m in marks if m not in data["uses"]]
        ways = [f"{prefix}w{m}-" for m in self.index[prefix + "w"]]
        filled = [way for way in ways if any(self.texts.get(way + spec.name, "").strip() for spec in rows.WAY[1:])]
        data["instead"] = [rows.read_row(way, rows.WAY, self.texts, self.wrong, Way) for way in filled]
        return data
