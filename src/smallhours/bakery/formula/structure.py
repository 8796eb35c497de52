"""Does a formula hold together? Parts that exist, feed one another without a circle, and have a size."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from smallhours.errors import Fault

if TYPE_CHECKING:
    from smallhours.bakery.formula.document import Formula, Part


def faults_of(formula: Formula) -> Iterator[Fault]:
    """Everything in a formula that does not hold together. A base's parts are checked once it is joined."""
    yield from _duplicates(formula)
    for part in formula.parts:
        for fault in part.faults():
            yield Fault(f"part {part.id!r}" + (f", {fault.where}" if fault.where else ""), fault.what)
    if formula.output is not None:
        for fault in formula.output.faults():
            yield Fault("output" + (f".{fault.where}" if fault.where else ""), fault.what)
    for number, stage in enumerate(formula.stages, 1):
        for fault in stage.faults():
            yield Fault(f"stage {number} ({stage.key}), {fault.where}", fault.what)
    if formula.base is None:
        yield from _references(formula)
        yield from _sizes(formula)
        yield from cycles(formula.parts)


def _duplicates(formula: Formula) -> Iterator[Fault]:
    for what, ids in (
        ("part", [part.id for part in formula.parts]),
        ("stage", [f"{stage.part or formula.main}: {stage.key}" for stage in formula.stages]),
    ):
        for name in sorted({i for i in ids if ids.count(i) > 1}):
            yield Fault(f"{what} {name!r}", f"is there {ids.count(name)} times; give each {what} its own id")


def _references(formula: Formula) -> Iterator[Fault]:
    known = {part.id for part in formula.parts}
    if formula.main not in known:
        yield Fault("main", f"the main part {formula.main!r} is not among the parts ({_listed(known)})")
    for part in formula.parts:
        named = [line.part for line in part.lines] + [part.ratio_to]
        for name in named:
            if name is not None and name not in known:
                yield Fault(f"part {part.id!r}", f"names the part {name!r}, which is not there ({_listed(known)})")
        keys = {line.ingredient for line in part.lines}
        if part.percent_on not in ("part", "total", "mass") and part.percent_on not in keys:
            yield Fault(
                f"part {part.id!r}, percent_on",
                f"{part.percent_on!r} is neither 'part', 'total', 'mass' nor an ingredient of this part",
            )
    for stage in formula.stages:
        for name in (stage.part, *stage.uses):
            if name is not None and name not in known:
                yield Fault(f"stage {stage.key!r}", f"names the part {name!r}, which is not there ({_listed(known)})")


def _sizes(formula: Formula) -> Iterator[Fault]:
    fed = {line.part for part in formula.parts for line in part.lines if line.part}
    for part in formula.parts:
        sized = part.ratio_percent is not None or part.mass_per_piece_g is not None or part.mass_per_pan_g is not None
        if part.id == formula.main:
            if sized:
                yield Fault(f"part {part.id!r}", "is the main part: its size follows from the piece mass")
            if part.id in fed:
                takers = [other.id for other in formula.parts if any(line.part == part.id for line in other.lines)]
                yield Fault(
                    f"part {part.id!r}",
                    f"is the main part, but goes into {', '.join(takers)}: the main part is the one that is divided; "
                    f"write main = {takers[0]!r}",
                )
        elif part.id not in fed and not sized:
            yield Fault(
                f"part {part.id!r}",
                "has no size: name it in another part's lines, or give ratio_percent and ratio_to, "
                "mass_per_piece or mass_per_pan",
            )
        elif part.id in fed and sized:
            yield Fault(f"part {part.id!r}", "is sized twice: by another part's line and by itself")


def cycles(parts: Iterable[Part]) -> Iterator[Fault]:
    """A fault for each circle of parts that feed one another (or are sized by one another)."""
    feeds: Mapping[str, set[str]] = {
        part.id: {line.part for line in part.lines if line.part} | ({part.ratio_to} if part.ratio_to else set())
        for part in parts
    }
    done: set[str] = set()
    for start in feeds:
        trail: list[str] = []
        yield from _walk(start, feeds, trail, done)


def _walk(name: str, feeds: Mapping[str, set[str]], trail: list[str], done: set[str]) -> Iterator[Fault]:
    if name in trail:
        ring = trail[trail.index(name) :] + [name]
        yield Fault(f"part {name!r}", "feeds itself: " + " <- ".join(ring))
        return
    if name in done or name not in feeds:
        return
    trail.append(name)
    for other in sorted(feeds[name]):
        yield from _walk(other, feeds, trail, done)
    trail.pop()
    done.add(name)


def _listed(names: Iterable[str]) -> str:
    return "there are: " + ", ".join(sorted(names)) if names else "there are none"
