"""What commands answer with ``--json``: one model a command, each with its schema name and version."""

from __future__ import annotations

import datetime as dt

from pydantic import BaseModel, ConfigDict

from smallhours.bakery.finding import Finding


class Reply(BaseModel):
    """Base of every answer: frozen, nothing unknown inside."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Said(Reply):
    """One thing a check found (severity ``wrong``, ``warn`` or ``note``)."""

    rule: str
    severity: str
    where: str
    sentence: str

    @classmethod
    def of(cls, finding: Finding) -> Said:
        """The finding as data."""
        return cls(rule=finding.rule, severity=finding.severity, where=finding.where, sentence=finding.sentence)


class Wrong(Reply):
    """One fault: where, and what is wrong and would be right."""

    where: str
    what: str


class RowReply(Reply):
    """One row of a table: its number in the file, what was understood, what is wrong with it."""

    row: int
    understood: dict[str, str]
    problem: str | None = None


class FileReply(Reply):
    """One document or file: what it is, its faults, its rows (tables), what was found, what was written."""

    source: str
    kind: str | None
    faults: tuple[Wrong, ...] = ()
    rows: tuple[RowReply, ...] = ()
    assumed: tuple[str, ...] = ()
    findings: tuple[Said, ...] = ()
    written: bool = False
    changed: bool = False
    revision: int | None = None


class ImportReply(Reply):
    """Answer of ``import`` and ``demo``. ``refused``: something was bad and nothing was written."""

    schema_name: str = "smallhours.import/1"
    home: str
    refused: bool
    files: tuple[FileReply, ...]


class CheckReply(Reply):
    """Answer of ``check``. ``bad``: something cannot be used as it is."""

    schema_name: str = "smallhours.check/1"
    bad: bool
    documents: tuple[FileReply, ...]


class ExportReply(Reply):
    """Answer of ``export``: the files that were written."""

    schema_name: str = "smallhours.export/1"
    files: tuple[str, ...]


class FormulaEntry(Reply):
    """A formula in the list."""

    id: str
    name: str
    dough_class: str | None
    base: str | None
    pieces_per_pan: int | None


class FormulasReply(Reply):
    """Answer of ``formula`` without an id."""

    schema_name: str = "smallhours.formulas/1"
    formulas: tuple[FormulaEntry, ...]


class LineReply(Reply):
    """One line of a part: percent on the basis asked for, exact and rounded mass."""

    key: str
    name: str
    percent: float
    mass_g: float
    rounded_g: float
    step_g: float
    addition: int
    after_development: bool = False


class PartReply(Reply):
    """One part of a formula at the size asked for."""

    id: str
    name: str
    kind: str
    mass_g: float
    lines: tuple[LineReply, ...]


class BalanceReply(Reply):
    """What is in the dough, in percent of all flour, and its class with the reason."""

    water_percent: float | None
    poured_liquid_percent: float | None
    fat_percent: float | None
    sugar_percent: float | None
    milk_solids_percent: float | None
    egg_percent: float | None
    salt_percent: float | None
    yeast_percent: float | None
    dough_class: str
    class_reason: str


class FormulaReply(Reply):
    """Answer of ``formula ID``: masses, percentages, what is in it, what the audit and the trade's rules say."""

    schema_name: str = "smallhours.formula/1"
    id: str
    name: str
    base: str | None
    basis: str
    pieces: int | None
    pans: int | None
    piece_mass_g: float | None
    flour_g: float
    parts: tuple[PartReply, ...]
    overall_percent: dict[str, float]
    balance: BalanceReply | None
    allergens: tuple[str, ...]
    findings: tuple[Said, ...]


class HeatReply(Reply):
    """What one ingredient brings into the bowl: its mass, temperature and heat capacity."""

    key: str
    mass_g: float
    temp_c: float
    specific_heat_j_per_g_k: float


class LiquidReply(Reply):
    """Answer of ``liquid``: the trade's rule, the heat balance with its interval, ice, what to do instead."""

    schema_name: str = "smallhours.liquid/1"
    formula: str
    part: str
    mass_g: float
    liquid: str
    target_dough_temp_c: float
    rule_temp_c: float | None
    liquid_temp_c: float | None
    low_c: float | None
    high_c: float | None
    ice_g: float
    possible: bool
    sentence: str
    instead: tuple[str, ...] = ()
    rests_on: str
    contributions: tuple[HeatReply, ...] = ()


class SheetsReply(Reply):
    """Answer of ``sheets``: the files that were written."""

    schema_name: str = "smallhours.sheets/1"
    plan: int
    night: dt.date
    language: str
    paper: str
    files: tuple[str, ...]


class OpenReply(Reply):
    """Answer of ``open``: where the pages are."""

    schema_name: str = "smallhours.open/1"
    address: str
    home: str


BY_NAME: dict[str, type[Reply]] = {
    "import": ImportReply,
    "check": CheckReply,
    "export": ExportReply,
    "formulas": FormulasReply,
    "formula": FormulaReply,
    "liquid": LiquidReply,
    "sheets": SheetsReply,
    "open": OpenReply,
}
