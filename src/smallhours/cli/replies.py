"""What commands answer with ``--json``: one model a command, each with its schema name and version."""

from __future__ import annotations

import datetime as dt

from smallhours.bakery.finding import Finding
from smallhours.cli.forecast_replies import AskReply, ForecastReply
from smallhours.cli.reply import Reply


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
    """One line of a part: percent on the part's basis and on all flour, exact mass, mass at the scale's step."""

    key: str
    name: str
    percent: float
    total_percent: float | None
    exact_g: float
    mass_g: float
    step_g: float
    addition: int
    after_development: bool = False


class PartReply(Reply):
    """One part at the size asked for. ``basis``: part (its flour), total (all flour), mass, or an ingredient."""

    id: str
    name: str
    kind: str
    basis: str
    mass_g: float
    lines: tuple[LineReply, ...]


class BalanceReply(Reply):
    """What the main part holds, in percent of all its flour; ``unknown``: what could not be counted, by quantity."""

    water_percent: float
    poured_liquid_percent: float
    fat_percent: float
    sugar_percent: float
    milk_solids_percent: float
    egg_percent: float
    salt_percent: float
    yeast_percent: float
    wholegrain_percent: float
    dough_class: str
    class_reason: str
    flags: tuple[str, ...]
    unknown: dict[str, tuple[str, ...]]


class FormulaReply(Reply):
    """Answer of ``formula ID``: masses, percentages, what it holds, what the audit and the trade's rules say."""

    schema_name: str = "smallhours.formula/1"
    id: str
    name: str
    revision: int
    base: str | None
    pieces: int | None
    pans: int | None
    piece_mass_g: float | None
    flour_g: float
    parts: tuple[PartReply, ...]
    overall_percent: dict[str, float]
    balance: BalanceReply | None
    allergens: tuple[str, ...]
    findings: tuple[Said, ...]


class SwapsReply(Reply):
    """Answer of ``swap ID``: the swaps that have something to take out of this formula."""

    schema_name: str = "smallhours.swaps/1"
    formula: str
    swaps: tuple[str, ...]


class ShiftReply(Reply):
    """What a part holds of one thing before and after a swap, in percent of ``basis``."""

    part: str
    what: str
    basis: str
    before_percent: float
    after_percent: float


class MoveReply(Reply):
    """A line that a swap changes, before and after: in percent of ``basis`` (``part``: its own flour, ``total``: all
    flour, ``mass``, or an ingredient's key), or in g where the part is written in masses (``basis``: ``g``)."""

    part: str
    key: str
    name: str
    addition: int
    basis: str
    before: float
    after: float


class SwapReply(Reply):
    """Answer of ``swap ID SWAP``: the changed formula as TOML, what goes out and comes in (``moves``), and what the
    dough holds before and after (``shifts``); ``revision``: what ``--save`` wrote."""

    schema_name: str = "smallhours.swap/1"
    formula: str
    swap: str
    moves: tuple[MoveReply, ...]
    shifts: tuple[ShiftReply, ...]
    allergens_came: tuple[str, ...]
    allergens_went: tuple[str, ...]
    remarks: tuple[str, ...]
    toml: str
    saved: bool
    revision: int | None = None


class HeatReply(Reply):
    """What one thing in the bowl does: ``heat_j`` is what it takes up to reach the target (negative: it gives)."""

    key: str
    name: str
    mass_g: float
    temp_c: float
    specific_heat_j_per_g_k: float
    heat_j: float


class LiquidReply(Reply):
    """Answer of ``liquid``: the heat balance with its range, the trade's rule, ice, and what will come of it.

    ``liquid_temp_c``: pour it like this; ``balance_temp_c``: what the balance asks for, even if it cannot be poured;
    ``low_c``..``high_c``: its range, as far as it can be poured; ``rule_remark``: why the rule is far off, where it is;
    ``dough_temp_c``: what the dough will be; ``sentence``: the answer, or what would do instead.
    """

    schema_name: str = "smallhours.liquid/1"
    formula: str
    part: str
    mass_g: float
    liquids: tuple[str, ...]
    liquid_mass_g: float
    target_dough_temp_c: float
    dough_temp_c: float
    liquid_temp_c: float
    balance_temp_c: float
    low_c: float
    high_c: float
    rule_temp_c: float
    rule_remark: str
    ice_g: float
    mixing_rise_k: float
    possible: bool
    sentence: str
    rests_on: str
    contributions: tuple[HeatReply, ...]


class SheetsReply(Reply):
    """Answer of ``sheets``: the files that were written."""

    schema_name: str = "smallhours.sheets/1"
    plan: int
    night: dt.date
    language: str
    paper: str
    files: tuple[str, ...]


class ViolationReply(Reply):
    """One thing that is wrong with a plan: which rule is broken, by what, and how."""

    kind: str
    where: str
    what: str


class VerifyReply(Reply):
    """Answer of ``verify``: everything that is wrong with a plan; ``against``: what it was held against besides itself.

    ``sound``: nothing is wrong."""

    schema_name: str = "smallhours.verify/1"
    plan: str
    night: dt.date
    against: tuple[str, ...]
    sound: bool
    violations: tuple[ViolationReply, ...]


class OpenReply(Reply):
    """Answer of ``open``: where the pages are; with a certificate of our own, its root and the root's fingerprint."""

    schema_name: str = "smallhours.open/1"
    address: str
    home: str
    root_certificate: str | None = None
    fingerprint: str | None = None


BY_NAME: dict[str, type[Reply]] = {
    "import": ImportReply,
    "check": CheckReply,
    "export": ExportReply,
    "formulas": FormulasReply,
    "formula": FormulaReply,
    "swaps": SwapsReply,
    "swap": SwapReply,
    "liquid": LiquidReply,
    "sheets": SheetsReply,
    "forecast": ForecastReply,
    "ask": AskReply,
    "verify": VerifyReply,
    "open": OpenReply,
}
