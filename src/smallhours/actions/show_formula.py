"""One formula laid open: percentages, masses for what is wanted, what it truly holds, what the checks say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.soundness import formula_findings
from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.amounts import percentages
from smallhours.bakery.formula.balance import Balance, balance
from smallhours.bakery.formula.changes import allergens_of
from smallhours.bakery.formula.document import Formula, Line, Part
from smallhours.bakery.formula.join import joined
from smallhours.bakery.formula.rounding import LEAST_STEPS, finer_scale, round_at_steps, step_for, tolerance_for
from smallhours.bakery.formula.scaling import (
    Scaled,
    scale_by_dough_mass,
    scale_by_flour,
    scale_by_ingredient,
    scale_by_pans,
    scale_by_pieces,
)
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.records import queries

_USUAL_DOUGH_G = 10_000.0
_STEPS_G = (1.0, 5.0)


@dataclass(frozen=True)
class ShowFormula:
    """Which formula (and revision), and at most one of: how many pieces or pans, how much dough or flour, or how
    much of one ingredient is on hand. With none: as many whole pans as about 10 kg of dough fill, at least one."""

    slug: str
    number: int | None = None
    pieces: int | None = None
    pans: int | None = None
    dough_g: float | None = None
    flour_g: float | None = None
    on_hand: tuple[str, float] | None = None


@dataclass(frozen=True)
class ShownLine:
    """A line of a part.

    ``percent``: on the part's own basis; ``total_percent``: on all flour of the formula (None where there is none);
    ``mass_g``: at the scale's step ``step_g``; ``finer``: what to do if that step is too coarse for it; ``is_part``:
    it brings in another part.
    """

    line: Line
    key: str
    name: str
    name_es: str
    is_part: bool
    percent: float
    total_percent: float | None
    exact_g: float
    mass_g: float
    step_g: float
    finer: str | None = None


@dataclass(frozen=True)
class ShownPart:
    """A part. ``basis``: what its percentages stand on (``part``, ``total``, ``mass`` or an ingredient's key);
    ``balance``: None where it holds no flour."""

    part: Part
    basis: str
    exact_g: float
    mass_g: float
    lines: tuple[ShownLine, ...]
    balance: Balance | None

    @property
    def basis_line(self) -> ShownLine | None:
        """The line its percentages stand on, where that is an ingredient."""
        return next((line for line in self.lines if line.key == self.basis), None)

    @property
    def digits(self) -> int:
        """Decimals that show its percentages as they were written."""
        return _digits([line.percent for line in self.lines])

    @property
    def total_digits(self) -> int:
        """Decimals for its percentages on all flour."""
        return _digits([line.total_percent for line in self.lines if line.total_percent is not None])


@dataclass(frozen=True)
class ShownFormula:
    """A formula laid open. ``formula``: as written; ``whole``: with its base joined in; ``overall``: every ingredient
    of the main part with parts opened, key -> percent of all flour; ``names``: their names (English, Spanish);
    ``findings``: audit and warnings."""

    formula: Formula
    whole: Formula
    number: int
    newest: int
    scaled: Scaled
    parts: tuple[ShownPart, ...]
    overall: Mapping[str, float]
    names: Mapping[str, tuple[str, str]]
    allergens: tuple[str, ...]
    findings: tuple[Finding, ...]


def show_formula(command: ShowFormula, actor: Actor = BAKER) -> ShownFormula:
    """The formula laid open.

    Raises NotFound for an unknown formula, revision or ingredient, OutOfRange for an amount that cannot be, BadInput
    if several amounts are given, DocumentError if the formula does not hold together.
    """
    require(actor, "look")
    held = shelf()
    kept = queries.kept_formula(command.slug, command.number)
    return opened(kept.document, kept.number, held, command)


def opened(formula: Formula, number: int, held: Shelf, command: ShowFormula) -> ShownFormula:
    """A formula laid open, also one that is not (or not so) in the store. Raises as ``show_formula``."""
    formulas = {**held.formulas, formula.id: formula}
    whole = joined(formula, lambda slug: formulas.get(slug) or held.formula(slug))
    pantry = held.pantry()
    scaled = scale(whole, pantry, command)
    overall = _overall(whole, pantry)
    return ShownFormula(
        formula=formula,
        whole=whole,
        number=number,
        newest=held.formula_numbers.get(formula.id, 0),
        scaled=scaled,
        parts=tuple(_parts(whole, pantry, scaled, held.kitchen.scale_steps_g if held.kitchen else _STEPS_G)),
        overall=overall,
        names={key: (pantry.find(key).name, pantry.find(key).name_es) for key in overall},
        allergens=tuple(sorted(allergens_of(whole, pantry))),
        findings=formula_findings(formula, formulas, pantry),
    )


def scale(whole: Formula, pantry: Pantry, command: ShowFormula) -> Scaled:
    """The formula scaled to what the command asks for. Raises as ``show_formula``."""
    asked = {
        "pieces": command.pieces,
        "pans": command.pans,
        "dough": command.dough_g,
        "flour": command.flour_g,
        "an ingredient on hand": command.on_hand,
    }
    given = [name for name, value in asked.items() if value is not None]
    if len(given) > 1:
        raise BadInput(f"say one amount: {' and '.join(given)} were given together")
    if command.pieces is not None:
        return scale_by_pieces(whole, pantry, command.pieces)
    if command.pans is not None:
        return scale_by_pans(whole, pantry, command.pans)
    if command.dough_g is not None:
        return scale_by_dough_mass(whole, pantry, command.dough_g)
    if command.flour_g is not None:
        return scale_by_flour(whole, pantry, command.flour_g)
    if command.on_hand is not None:
        return scale_by_ingredient(whole, pantry, *command.on_hand)
    usual = scale_by_dough_mass(whole, pantry, _USUAL_DOUGH_G)
    return usual if whole.output is None else scale_by_pans(whole, pantry, max(1, usual.pieces // whole.pieces_per_pan))


def _parts(whole: Formula, pantry: Pantry, scaled: Scaled, steps_g: tuple[float, ...]) -> Iterator[ShownPart]:
    flour_g = scaled.amounts.flour_g
    for part in whole.parts:
        amount = scaled.amounts.parts[part.id]
        exact = {str(number): one.mass_g for number, one in enumerate(amount.lines)}
        steps = {str(number): _step_g(one.line, one.mass_g, pantry, steps_g) for number, one in enumerate(amount.lines)}
        rounded = round_at_steps(exact, steps)
        of_key: dict[str, float] = {}
        for one in amount.lines:
            of_key[one.key] = of_key.get(one.key, 0.0) + one.mass_g
        basis, percent = _percent(whole, part, pantry, of_key, flour_g)
        lines = tuple(
            ShownLine(
                one.line,
                one.key,
                *_names(one.line, whole, pantry),
                is_part=one.line.part is not None,
                percent=percent[one.key] * one.mass_g / of_key[one.key] if of_key[one.key] > 0 else 0.0,
                total_percent=100.0 * one.mass_g / flour_g if flour_g > 0 else None,
                exact_g=one.mass_g,
                mass_g=rounded.masses[str(number)],
                step_g=steps[str(number)],
                finer=_finer(one.line, one.mass_g, steps[str(number)], pantry),
            )
            for number, one in enumerate(amount.lines)
        )
        yield ShownPart(part, basis, amount.mass_g, rounded.total_g, lines, _balance(whole, pantry, part))


def _percent(
    whole: Formula, part: Part, pantry: Pantry, of_key: Mapping[str, float], flour_g: float
) -> tuple[str, Mapping[str, float]]:
    """A part's percentages by key on the basis it names; on its own mass where it holds no flour to stand on."""
    if part.percent_on == "total" and flour_g > 0:
        return "total", {key: 100.0 * mass_g / flour_g for key, mass_g in of_key.items()}
    try:
        return part.percent_on, percentages(whole, pantry, part.id, part.percent_on)
    except BadInput:
        return "mass", percentages(whole, pantry, part.id, "mass")


def _step_g(line: Line, mass_g: float, pantry: Pantry, steps_g: tuple[float, ...]) -> float:
    kind = "" if line.ingredient is None else pantry.find(line.ingredient).kind
    return step_for(mass_g, steps_g, tolerance_for(kind))


def _finer(line: Line, mass_g: float, step_g: float, pantry: Pantry) -> str | None:
    """What to do about a mass too small for the finest scale; a rounding error that only counts goes unsaid."""
    if line.ingredient is None or mass_g >= LEAST_STEPS * step_g:
        return None
    return finer_scale(pantry.find(line.ingredient).name, mass_g, step_g)


def _names(line: Line, whole: Formula, pantry: Pantry) -> tuple[str, str]:
    if line.ingredient is not None:
        stuff = pantry.find(line.ingredient)
        return stuff.name, stuff.name_es
    name = whole.part(line.part or "").name
    return name, name


def _balance(whole: Formula, pantry: Pantry, part: Part) -> Balance | None:
    try:
        return balance(whole, pantry, part.id)
    except BadInput:  # a filling or glaze without flour
        return None


def _overall(whole: Formula, pantry: Pantry) -> Mapping[str, float]:
    try:
        return percentages(whole, pantry, whole.main, "total")
    except BadInput:
        return {}


def _digits(values: list[float]) -> int:
    """One decimal, or two if one would hide something."""
    return 1 if all(abs(value - round(value, 1)) < 0.002 for value in values) else 2
