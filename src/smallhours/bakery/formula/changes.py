"""What is different between two versions of a formula, and which of it matters."""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula import nutrients
from smallhours.bakery.formula.amounts import percentages
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.reading import Reading
from smallhours.bakery.pantry import Pantry

RATIO_TOLERANCE = 0.02
PERCENT_TOLERANCE = 0.01


def changes(old: Formula, new: Formula, pantry: Pantry) -> list[Finding]:
    """What changed from one (joined) formula to another, most serious first.

    Reports fillings and finishes (their share of the dough, and the sugar on their butter), what the dough holds,
    its class, allergens, and each ingredient in percent of all flour.

    Raises: as ``unit_amounts``.
    """
    before, after = Reading(old, pantry), Reading(new, pantry)
    found = [*_parts(before, after), *_held(before, after), *_allergens(before, after), *_lines(before, after)]
    order = {"wrong": 0, "warn": 1, "note": 2}
    return sorted(found, key=lambda finding: order[finding.severity])


def _parts(before: Reading, after: Reading) -> Iterator[Finding]:
    """Fillings, glazes and the like: how much of them, and sugar on butter."""
    names = [p.id for p in before.formula.parts] + [p.id for p in after.formula.parts]
    for name in dict.fromkeys(names):
        olds, news = before.amounts.parts.get(name), after.amounts.parts.get(name)
        if olds is None or news is None:
            is_was = "was not there" if olds is None else "is gone"
            yield Finding("part_came_or_went", "warn", f"part {name!r}", f"{is_was} in the other version")
            continue
        if name == after.formula.main or olds.part.kind in ("dough", "batter", "preferment", "soaker"):
            continue
        was, now = _share(before, name), _share(after, name)
        if was > 0 and abs(now / was - 1) > RATIO_TOLERANCE:
            yield Finding(
                "filling_ratio_changed",
                "warn",
                f"part {name!r}",
                f"was {was:.1f} % of the dough, now {now:.1f} %: bake time, sweetness and cost change with it",
            )
        yield from _sugar_on_butter(before, after, name)


def _sugar_on_butter(before: Reading, after: Reading, name: str) -> Iterator[Finding]:
    was, now = _sugar_per_butter(before, name), _sugar_per_butter(after, name)
    if was is None and now is None:
        return
    if was is None or now is None or abs(now / was - 1) > RATIO_TOLERANCE:
        told = [f"{ratio:.2f}" if ratio is not None else "none (no butter or no sugar)" for ratio in (was, now)]
        yield Finding(
            "filling_keeps_its_sugar_on_butter",
            "warn",
            f"part {name!r}",
            f"sugar per butter was {told[0]}, now {told[1]}: a filling keeps it whatever the flavour, or it runs or "
            "turns dry",
        )


def _held(before: Reading, after: Reading) -> Iterator[Finding]:
    was, now = before.held, after.held
    if was is None or now is None:
        return
    if was.dough_class != now.dough_class:
        yield Finding(
            "dough_class_changed", "warn", "dough", f"was {was.dough_class}, now {now.dough_class} ({now.class_reason})"
        )
    for name in ("water", "fat", "sugar", "egg", "salt", "yeast"):
        old, new = getattr(was, f"{name}_percent"), getattr(now, f"{name}_percent")
        if abs(new - old) > PERCENT_TOLERANCE:
            yield Finding(f"{name}_changed", "note", "dough", f"{name} was {old:.2f} % of flour, now {new:.2f} %")


def _allergens(before: Reading, after: Reading) -> Iterator[Finding]:
    was, now = allergens_of(before.formula, before.pantry), allergens_of(after.formula, after.pantry)
    if now - was:
        words = ", ".join(sorted(now - was))
        yield Finding("allergen_came", "warn", "label", f"now contains {words}: the label has to say so")
    if was - now:
        yield Finding("allergen_went", "note", "label", f"no longer contains {', '.join(sorted(was - now))}")


def _lines(before: Reading, after: Reading) -> Iterator[Finding]:
    if before.amounts.flour_g <= 0 or after.amounts.flour_g <= 0:
        return
    was = percentages(before.formula, before.pantry, before.formula.main, "total")
    now = percentages(after.formula, after.pantry, after.formula.main, "total")
    for key in dict.fromkeys([*was, *now]):
        old, new = was.get(key, 0.0), now.get(key, 0.0)
        if abs(new - old) > PERCENT_TOLERANCE:
            yield Finding("ingredient_changed", "note", key, f"was {old:.2f} % of flour, now {new:.2f} %")


def allergens_of(formula: Formula, pantry: Pantry) -> frozenset[str]:
    """Allergens of every ingredient of which there is some."""
    masses = Reading(formula, pantry).amounts.ingredients()
    return frozenset().union(*(pantry.find(key).allergens for key, mass_g in masses.items() if mass_g > 0))


def _share(read: Reading, name: str) -> float:
    main_g = read.amounts.parts[read.formula.main].mass_g
    return 100.0 * read.amounts.parts[name].mass_g / main_g if main_g > 0 else 0.0


def _sugar_per_butter(read: Reading, name: str) -> float | None:
    masses = read.amounts.ingredients(name)
    butter_g = sum(m for key, m in masses.items() if read.solid_fat(key))
    sugar_g = nutrients.brought(masses, read.pantry, nutrients.sugar).mass_g
    return sugar_g / butter_g if butter_g > 0 and sugar_g > 0.01 * butter_g else None
