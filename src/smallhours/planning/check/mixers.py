"""Bowls: a batch is mixed in one mixer, and weighs what that mixer can mix."""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.planning.check.case import Case
from smallhours.planning.check.violation import Violation

KIND = "mixer"
_SLACK_G = 0.1


def mixers(case: Case) -> Iterator[Violation]:
    """The mixer a batch names is the one its mixing stands at, and takes its mass."""
    for batch in case.plan.batches:
        kinds = {r.id: r.kind for r in case.plan.resources}
        at = {t.place for t in case.strands.get(batch.id, ()) if t.kind == "mix" and kinds.get(t.place) == "mixer"}
        if batch.mixer is None and at:
            yield Violation(KIND, batch.id, f"names no mixer and is mixed in {', '.join(sorted(at))}")
        if batch.mixer is not None and at != {batch.mixer}:
            yield Violation(KIND, batch.id, f"names {batch.mixer} and is mixed in {', '.join(sorted(at)) or 'none'}")
        if batch.mass_g <= 0 or not 0 <= batch.flour_g <= batch.mass_g + _SLACK_G:
            yield Violation(KIND, batch.id, f"weighs {batch.mass_g:g} g with {batch.flour_g:g} g of flour in it")
        yield from _bowl(case, batch.id, batch.mixer, batch.mass_g)


def _bowl(case: Case, batch: str, mixer_id: str | None, mass_g: float) -> Iterator[Violation]:
    kitchen = case.documents.kitchen
    if kitchen is None or mixer_id is None:
        return
    mixer = next((m for m in kitchen.mixers if m.id == mixer_id), None)
    if mixer is None:
        yield Violation(KIND, batch, f"is mixed in {mixer_id}, which is not in the kitchen")
        return
    most_g = max(mixer.max_dough_g, mixer.max_stiff_g or 0.0, mixer.max_wet_g or 0.0)
    if mass_g > most_g + _SLACK_G:
        yield Violation(KIND, batch, f"weighs {mass_g:g} g, {mixer_id} takes {most_g:g} g")
    told = any(batch in note for note in case.plan.notes)
    if mass_g < mixer.min_dough_g - _SLACK_G and not told:
        yield Violation(KIND, batch, f"weighs {mass_g:g} g, {mixer_id} needs {mixer.min_dough_g:g} g")
