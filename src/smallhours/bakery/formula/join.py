"""A product that shares another formula's dough: its base's parts and stages come before its own."""

from __future__ import annotations

from collections.abc import Callable

from smallhours.bakery.formula.document import Formula, Part, Stage
from smallhours.bakery.formula.structure import faults_of
from smallhours.errors import DocumentError, Fault


def dough_id(formula: Formula) -> str:
    """The id under which products share a dough: the base's id, or the formula's own."""
    return formula.base or formula.id


def joined(formula: Formula, find: Callable[[str], Formula]) -> Formula:
    """The formula with its base's parts and stages before its own; the result has no base.

    An own part takes the place of the base's part of that id. In each part, the base's stages hold up to the
    first stage that the formula's own stages begin with; from there its own hold (buns made from a braid's
    dough divide, shape and bake in their own way). What else the formula does not say, its base says.

    Raises: NotFound (from ``find``) if the base is not there; DocumentError if the base has a base itself, or
    if the result does not hold together.
    """
    if formula.base is None:
        return formula
    base = find(formula.base)
    if base.base is not None:
        raise DocumentError(
            f"formula {formula.id!r}",
            [Fault("base", f"{base.id!r} rests on {base.base!r} itself; name {base.base!r} as the base")],
        )
    parts = _parts(base, formula)
    main = formula.main if formula.main in {part.id for part in parts} else base.main
    whole = formula.model_copy(
        update={
            "base": None,
            "main": main,
            "parts": parts,
            "stages": _stages(base, formula, main),
            "output": formula.output or base.output,
            "shaping": formula.shaping or base.shaping,
            "pan": formula.pan or base.pan,
            "pieces_per_pan": base.pieces_per_pan if formula.pan is None else formula.pieces_per_pan,
            "fresh_s": base.fresh_s if formula.fresh_s is None else formula.fresh_s,
            "free_from": base.free_from + tuple(a for a in formula.free_from if a not in base.free_from),
            "cautions": base.cautions + tuple(c for c in formula.cautions if c not in base.cautions),
        }
    )
    faults = list(faults_of(whole))
    if faults:
        raise DocumentError(f"formula {formula.id!r} joined to its base {base.id!r}", faults)
    return whole


def _parts(base: Formula, own: Formula) -> tuple[Part, ...]:
    replaced = {part.id: part for part in own.parts}
    kept = tuple(replaced.pop(part.id, part) for part in base.parts)
    return kept + tuple(replaced.values())


def _stages(base: Formula, own: Formula, main: str) -> tuple[Stage, ...]:
    """The base's stages, part by part up to where the formula's own begin; then its own."""
    first_own: dict[str, str] = {}
    for stage in own.stages:
        first_own.setdefault(stage.part or main, stage.key)
    kept: list[Stage] = []
    closed: set[str] = set()
    for stage in base.stages:
        part = stage.part or base.main
        if first_own.get(part) == stage.key:
            closed.add(part)
        if part not in closed:
            kept.append(stage)
    return tuple(kept) + own.stages
