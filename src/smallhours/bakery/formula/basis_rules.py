"""Do percentages stand on what they say, and do household measures weigh what the masses say?

Sources: what counts as flour is common practice (trade texts differ on gluten); household weights USDA SR28, which
other tables miss by up to 20 % for what can be spooned, dipped or sifted (an army card counts 113 g flour a cup,
USDA 125).
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.document import Line, Part
from smallhours.bakery.formula.household import measured_g, read_measure
from smallhours.bakery.formula.reading import Reading
from smallhours.errors import BadInput

SUM_TOLERANCE = 0.05
NEAR_FLOUR_KINDS = ("starch", "chocolate", "dairy-powder", "other")
NEAR_FLOUR_FROM = 2.0
SPOONED_KINDS = ("flour", "starch", "chocolate", "dairy-powder")
SPOONED_TOLERANCE, MEASURE_TOLERANCE = 0.20, 0.10


def flour_is_one_hundred(read: Reading) -> Iterator[Finding]:
    """Flours that do not add up to 100 %, and what would make them."""
    for part in _in_percent(read):
        flours = _percents(read, part, flour=True)
        if not flours or part.percent_on not in ("part", "total") or any(line.flour_percent for line in part.lines):
            continue
        total = math.fsum(flours.values())
        if abs(total - 100) <= SUM_TOLERANCE:
            continue
        near = _near_flours(read, part)
        filling = [k for k, p in near.items() if abs(total + p - 100) <= SUM_TOLERANCE]
        if not filling and near and abs(total + math.fsum(near.values()) - 100) <= SUM_TOLERANCE:
            filling = list(near)
        hint = f"; it is 100 % if {' and '.join(filling)} counts as flour, which it does not here" if filling else ""
        yield Finding(
            "flour_is_one_hundred",
            "warn",
            f"part {part.id!r}",
            f"the flours ({', '.join(f'{k} {p:g}' for k, p in flours.items())}) add up to {total:g} %, not 100{hint}; "
            "all percentages are taken in proportion",
        )


def near_flours_are_beside(read: Reading) -> Iterator[Finding]:
    """Cocoa, starch, dry gluten and milk powder do not count as flour; where there is much of them, say so."""
    for part in _in_percent(read):
        if part.percent_on not in ("part", "total"):
            continue
        near = {k: p for k, p in _near_flours(read, part).items() if p >= NEAR_FLOUR_FROM}
        if near:
            yield Finding(
                "near_flours_are_beside",
                "note",
                f"part {part.id!r}",
                f"{', '.join(f'{k} ({p:g} %)' for k, p in near.items())} stands beside the 100 % of flour, not in it",
            )


def percentages_have_their_basis(read: Reading) -> Iterator[Finding]:
    """True percentages that do not add up to 100; a basis ingredient that is not 100."""
    for part in _in_percent(read):
        if part.percent_on == "mass":
            total = math.fsum(line.percent or 0.0 for line in part.lines)
            if abs(total - 100) > SUM_TOLERANCE:
                yield Finding(
                    "percentages_have_their_basis",
                    "warn",
                    f"part {part.id!r}",
                    f"percentages of its own mass add up to {total:g} %, not 100; they are taken in proportion",
                )
        elif part.percent_on not in ("part", "total"):
            own = math.fsum(line.percent or 0.0 for line in part.lines if line.ingredient == part.percent_on)
            if abs(own - 100) > SUM_TOLERANCE:
                yield Finding(
                    "percentages_have_their_basis",
                    "warn",
                    f"part {part.id!r}",
                    f"percentages stand on {part.percent_on}, which is {own:g} %, not 100; they are taken in "
                    "proportion",
                )


def flour_in_the_preferment_counts(read: Reading) -> Iterator[Finding]:
    """A preferment listed beside 100 % flour: what the dough truly holds on all its flour."""
    for part in _in_percent(read):
        if part.percent_on != "part":
            continue
        beside = [
            line.part
            for line in part.lines
            if line.part and line.percent and read.amounts.ingredients(line.part) and read.flour_g(line.part) > 0
        ]
        flour_g = read.flour_g(part.id)
        if not beside or flour_g <= 0:
            continue
        opened = read.amounts.ingredients(part.id)
        own_g = math.fsum(
            a.mass_g
            for a in read.amounts.parts[part.id].lines
            if a.line.ingredient and read.pantry.find(a.key).counts_as_flour
        )
        truly = ", ".join(
            f"{key} {100 * opened[key] / flour_g:.2f} % (written {_written(part, key):g} %)"
            for key in _told(read, part)
        )
        yield Finding(
            "flour_in_the_preferment_counts",
            "note",
            f"part {part.id!r}",
            f"{', '.join(beside)} stands beside the flour; on all flour the dough holds {truly}, and "
            f"{100 * (1 - own_g / flour_g):.1f} % of its flour comes in with it",
        )


def measures_weigh_what_they_say(read: Reading) -> Iterator[Finding]:
    """Household measures against the masses (or, in a part in percent, against one another)."""
    for part in read.formula.parts:
        weighed: list[tuple[Line, float]] = []
        for line in part.lines:
            if line.household is None or line.ingredient is None:
                continue
            try:
                mass_g = measured_g(read.pantry.find(line.ingredient), read_measure(line.household))
            except BadInput as error:
                yield Finding("measures_weigh_what_they_say", "note", _line(part, line), str(error))
                continue
            if mass_g is not None and (line.mass_g or line.percent):
                weighed.append((line, mass_g))
        yield from _off(read, part, weighed)


def _off(read: Reading, part: Part, weighed: list[tuple[Line, float]]) -> Iterator[Finding]:
    if not weighed or (weighed[0][0].mass_g is None and len(weighed) < 3):
        return  # two lines in percent cannot say which of them is off
    scale = 1.0
    if weighed[0][0].mass_g is None:
        scale = statistics.median(mass_g / (line.percent or 1.0) for line, mass_g in weighed)
    for line, mass_g in weighed:
        said_g = line.mass_g if line.mass_g is not None else scale * (line.percent or 0.0)
        spooned = read.pantry.find(line.ingredient or "").kind in SPOONED_KINDS
        tolerance = SPOONED_TOLERANCE if spooned else MEASURE_TOLERANCE
        if abs(mass_g / said_g - 1) > tolerance:
            beside = "the formula says" if line.mass_g is not None else "the other measures together say"
            yield Finding(
                "measures_weigh_what_they_say",
                "warn",
                _line(part, line),
                f"{line.household} of {line.ingredient} weighs {mass_g:.4g} g (USDA), {beside} {said_g:.4g} g: "
                f"{100 * (mass_g / said_g - 1):+.0f} %, more than the {100 * tolerance:.0f} % that filling a measure "
                "can be off",
            )


def _in_percent(read: Reading) -> Iterator[Part]:
    for part in read.formula.parts:
        if all(line.mass_g is None for line in part.lines):
            yield part


def _percents(read: Reading, part: Part, flour: bool) -> dict[str, float]:
    """Written percent by ingredient: the flours (on ``total``, also flour that only the preferments name)."""
    found: dict[str, float] = {}
    for line in part.lines:
        if line.ingredient and read.pantry.find(line.ingredient).counts_as_flour == flour:
            found[line.ingredient] = found.get(line.ingredient, 0.0) + (line.percent or 0.0)
    if flour and part.percent_on == "total":
        opened = read.amounts.ingredients(part.id)
        listed_g = math.fsum(opened[key] for key in found)
        for key, mass_g in opened.items():
            if key not in found and read.pantry.find(key).counts_as_flour and listed_g > 0:
                found[key] = mass_g / listed_g * math.fsum(p for k, p in found.items() if k in opened)
    return found


def _near_flours(read: Reading, part: Part) -> dict[str, float]:
    """What some would count as flour: starch, cocoa, milk powder, gluten, germ, bran (in a part with flour)."""
    if not _percents(read, part, flour=True):
        return {}
    dry = {}
    for key, percent in _percents(read, part, flour=False).items():
        stuff = read.pantry.find(key)
        if stuff.kind in NEAR_FLOUR_KINDS and (stuff.composition.fat_fraction or 0) < 0.27 and percent > 0:
            dry[key] = percent
    return dry


def _told(read: Reading, part: Part) -> list[str]:
    """The ingredients whose true percentage is worth telling: poured liquids and salt."""
    keys = dict.fromkeys(line.ingredient for line in part.lines if line.ingredient)
    return [k for k in keys if (s := read.pantry.find(k)).kind == "salt" or (s.liquid and s.kind != "fat")]


def _written(part: Part, key: str) -> float:
    return math.fsum(line.percent or 0.0 for line in part.lines if line.ingredient == key)


def _line(part: Part, line: Line) -> str:
    return f"part {part.id!r}, {line.ingredient or line.part}"
