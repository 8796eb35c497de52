"""Where trade practice sees trouble in how long and how warm a dough stands. One rule, one function, one sentence.

Sources: limits of retarding, lamination and butter in the proof from a German bakery handbook (IREKS compendium 6.3,
11.3 and 11.5); brioche off the hook from memory of school texts; the rest is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.document import Stage
from smallhours.bakery.formula.reading import Reading
from smallhours.bakery.quantity import say_temp, write_duration

HOUR_S = 3600.0
RETARD_MOST_S = 48 * HOUR_S
RICH_RETARD_WARN_S, RICH_RETARD_STOP_S = 18 * HOUR_S, 24 * HOUR_S
RICH_RETARD_YEAST = 2.0
BUTTER_PROOF_MOST_C = 28.0
BUTTER_DOUGH_PERCENT = 25.0
BUTTER_DOUGH_MOST_C = 26.0
LAMINATED_DOUGH_C = (16.0, 20.0)


def retard_is_not_too_long(read: Reading) -> Iterator[Finding]:
    """Dough in the cold over 48 h; shaped enriched dough with much yeast over 18 (warn) or 24 h (stop)."""
    held = read.held
    if held is None or not read.yeasted:
        return
    lively = held.dough_class != "lean" and held.yeast_percent >= RICH_RETARD_YEAST - 1e-6
    for where, longest_s, shaped in _cold_spells(read):
        if longest_s > RETARD_MOST_S:
            yield Finding(
                "retard_is_not_too_long",
                "warn",
                where,
                f"up to {write_duration(longest_s)} in the cold; more than 48 h at 0 to 5 °C costs volume and crust",
            )
        elif shaped and lively and longest_s > RICH_RETARD_WARN_S:
            too_long = longest_s > RICH_RETARD_STOP_S
            yield Finding(
                "retard_is_not_too_long",
                "warn" if too_long else "note",
                where,
                f"up to {write_duration(longest_s)} in the cold as shaped pieces with {held.yeast_percent:.1f} % yeast "
                f"(as instant): {'more than 24 h is too long' if too_long else 'watch it from 18 h on'}",
            )


def butter_proofs_cool(read: Reading) -> Iterator[Finding]:
    """A proof over 28 °C melts the butter out of laminated and butter-rich doughs."""
    if not (read.laminated or read.butter_percent() >= BUTTER_DOUGH_PERCENT):
        return
    for number, stage in read.stages("proof"):
        for temp_c, name in _temperatures(stage):
            if temp_c > BUTTER_PROOF_MOST_C + 1e-6:
                yield Finding(
                    "butter_proofs_cool",
                    "warn",
                    f"stage {number} ({stage.key}{name})",
                    f"proofs at {say_temp(temp_c)}, but the dough holds {read.butter_percent():.0f} % butter; above "
                    f"{BUTTER_PROOF_MOST_C:g} °C it melts out",
                )


def dough_with_butter_is_cool(read: Reading) -> Iterator[Finding]:
    """A butter dough over 26 °C off the hook, or a dough to be laminated outside 16 to 20 °C."""
    if not read.yeasted:
        return
    for part in read.doughs():
        target_c = part.target_temp_c
        if target_c is None:
            continue
        low, high = LAMINATED_DOUGH_C
        if read.laminated and not low <= target_c <= high:
            yield Finding(
                "dough_with_butter_is_cool",
                "warn",
                f"part {part.id!r}",
                f"target {say_temp(target_c)}; a dough into which butter is folded comes off the hook at {low:g} to "
                f"{high:g} °C",
            )
        elif not read.laminated and read.butter_percent() >= BUTTER_DOUGH_PERCENT and target_c > BUTTER_DOUGH_MOST_C:
            yield Finding(
                "dough_with_butter_is_cool",
                "warn",
                f"part {part.id!r}",
                f"target {say_temp(target_c)} with {read.butter_percent():.0f} % butter; above {BUTTER_DOUGH_MOST_C:g} "
                "°C the butter runs",
            )


def retarded_pieces_warm_up(read: Reading) -> Iterator[Finding]:
    """Pieces that go from the cold straight into the oven (they should be above 16 °C in the core)."""
    chain = [s for s in read.formula.stages if (s.part or read.formula.main) == read.formula.main]
    for before, after in pairwise(chain):
        if after.kind != "bake" or not read.yeasted:
            continue
        own = before.kind == "retard" and before.temper_s is None and before.place != "room"
        ways = [w for w in before.instead if w.place in ("fridge", "freezer") and w.temper_s is None]
        if own or ways:
            yield Finding(
                "retarded_pieces_warm_up",
                "note",
                f"stage {before.key!r}",
                "pieces go from the cold straight into the oven; they bake evenly once their core is above 16 °C: "
                "give the stage a temper time in the room",
            )


def _cold_spells(read: Reading) -> Iterator[tuple[str, float, bool]]:
    """Where the dough may stand in the cold, how long at most, and whether as shaped pieces."""
    for number, stage in read.stages("retard", "chill", "proof", "ferment", "rest"):
        where = f"stage {number} ({stage.key})"
        shaped = stage.kind in ("retard", "proof") and _is_shaped(read, stage)
        cold = stage.kind in ("retard", "chill") or stage.place == "fridge"
        if cold and stage.place not in ("room", "freezer"):
            yield where, max(stage.duration_s or 0.0, stage.max_s or 0.0), shaped
        for way in stage.instead:
            if way.place == "fridge":
                yield f"{where}, instead (fridge)", max(way.duration_s, way.max_s or 0.0), shaped


def _is_shaped(read: Reading, stage: Stage) -> bool:
    """Whether the pieces were shaped (or divided or sliced) before this stage."""
    for earlier in read.formula.stages_of(read.formula.main):
        if earlier is stage:
            return False
        if earlier.kind in ("shape", "slice", "divide"):
            return True
    return False


def _temperatures(stage: Stage) -> Iterator[tuple[float, str]]:
    if stage.at_temp_c is not None:
        yield stage.at_temp_c, ""
    for way in stage.instead:
        if way.at_temp_c is not None:
            yield way.at_temp_c, f", instead ({way.place})"
