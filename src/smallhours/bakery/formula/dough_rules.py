"""Where trade practice sees trouble in what goes into a dough. One rule, one function, one sentence.

Limits of salt, yeast and sugar stand in the reference table ``usual_ranges``. Sources, by rule, stand in each
docstring; what has none is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.nutrients import salt as salt_share
from smallhours.bakery.formula.reading import Reading
from smallhours.reference.defaults import UsualRange, usual_range

SUGAR_TWO_GOES = 12.0
BUTTER_AFTER = 15.0
HYDRATION = (42.0, 95.0)
WHOLEGRAIN_TAKES = 15.0
FILLING_MOST = 50.0


def salt_is_there(read: Reading) -> Iterator[Finding]:
    """A yeast dough without salt runs away and tastes of nothing (common practice)."""
    if read.yeasted and read.held is not None and read.held.salt_percent == 0:
        yield Finding(
            "salt_is_there",
            "warn",
            _main(read),
            f"there is no salt in the dough; {_usual(usual_range('salt'))} % of flour is usual",
        )


def salt_in_range(read: Reading) -> Iterator[Finding]:
    """Salt outside 0.9 to 2.5 % of flour (the range seen in published formulas; 1.8 to 2.2 is usual)."""
    held = read.held
    if held is None or not read.yeasted or held.salt_percent == 0:
        return
    seen = usual_range("salt")
    low, high = seen.seen_low_percent, seen.seen_high_percent
    if not low - 1e-6 <= held.salt_percent <= high + 1e-6:
        masses = read.amounts.ingredients(read.formula.main)
        sources = [k for k, m in masses.items() if m > 0 and (salt_share(read.pantry.find(k)) or 0) > 0]
        yield Finding(
            "salt_in_range",
            "warn",
            _main(read),
            f"salt is {held.salt_percent:.2f} % of flour ({', '.join(sources)}); {low:g} to {high:g} % is what "
            f"published formulas hold, {_usual(seen)} % is usual",
        )


def yeast_in_range(read: Reading) -> Iterator[Finding]:
    """Much yeast, or too little to weigh.

    Source: published doses are up to 2.3 % instant in lean and up to 4.1 % in sweet doughs (army card D-36); under
    0.1 % a weighed dilution is common practice.
    """
    held = read.held
    if held is None or held.yeast_percent == 0:
        return
    lean = usual_range("instant-yeast-lean")
    seen = lean if held.dough_class in ("lean", "enriched") else usual_range("instant-yeast-sweet")
    top = seen.seen_high_percent
    if held.yeast_percent > top + 1e-6:
        yield Finding(
            "yeast_in_range",
            "warn",
            _main(read),
            f"yeast is {held.yeast_percent:.2f} % of flour as instant yeast; a {held.dough_class} dough rarely takes "
            f"more than {top:g} %",
        )
    elif held.yeast_percent < lean.seen_low_percent - 1e-6:
        yield Finding(
            "yeast_in_range",
            "note",
            _main(read),
            f"yeast is only {held.yeast_percent:.3g} % of flour as instant yeast: weigh it as a dilution in water",
        )


def something_raises_it(read: Reading) -> Iterator[Finding]:
    """A dough that proofs with nothing to raise it (common practice)."""
    held = read.held
    if held is None or read.yeasted or "chemically-leavened" in held.flags:
        return
    if any(read.stages("proof", "ferment", "retard")):
        yield Finding(
            "something_raises_it",
            "warn",
            _main(read),
            "the dough ferments or proofs, but there is neither yeast, leavening nor a preferment in it",
        )


def sugar_needs_its_yeast(read: Reading) -> Iterator[Finding]:
    """Sugar above what ordinary yeast bears.

    Source: common practice: osmotolerant yeast above 10 % sugar on flour, recommended from 7 to 8 %.
    """
    held = read.held
    plain = usual_range("sugar-plain-yeast")
    if held is None or held.yeast_percent == 0 or held.sugar_percent <= plain.usual_high_percent:
        return
    if _osmotolerant(read):
        return
    over = held.sugar_percent > plain.seen_high_percent
    yield Finding(
        "sugar_needs_its_yeast",
        "warn" if over else "note",
        _main(read),
        f"sugar is {held.sugar_percent:.1f} % of flour: "
        + (
            "ordinary yeast slows down; take an osmotolerant one, or 20 to 50 % more of the ordinary"
            if over
            else f"an osmotolerant yeast is better from about {plain.usual_high_percent:g} % on"
        ),
    )


def sugar_in_two_goes(read: Reading) -> Iterator[Finding]:
    """Much sugar all at once keeps the gluten from forming (common practice: over 10 to 12 % in two additions)."""
    if not read.yeasted:
        return
    for part in read.doughs():
        rows = [
            (a.line.addition, percent)
            for a, percent in read.rows(part)
            if a.line.ingredient and read.pantry.find(a.key).kind == "sugar"
        ]
        if sum(p for _, p in rows) > SUGAR_TWO_GOES and len({addition for addition, _ in rows}) == 1:
            yield Finding(
                "sugar_in_two_goes",
                "note",
                f"part {part.id!r}",
                f"{sum(p for _, p in rows):.1f} % sugar goes in at once; over {SUGAR_TWO_GOES:g} % the gluten forms "
                "better if it goes in in two additions",
            )


def butter_after_development(read: Reading) -> Iterator[Finding]:
    """Much butter before the gluten is developed (common practice: over 15 % of flour goes in afterwards)."""
    if not read.yeasted:
        return
    for part in read.doughs():
        early = [
            (a.key, percent)
            for a, percent in read.rows(part)
            if a.line.ingredient and read.solid_fat(a.key) and not a.line.after_development
        ]
        total = sum(percent for _, percent in early)
        if total > BUTTER_AFTER + 1e-6:
            names = ", ".join(sorted({key for key, _ in early}))
            yield Finding(
                "butter_after_development",
                "warn",
                f"part {part.id!r}",
                f"{total:.1f} % {names} goes in before the gluten is developed; over {BUTTER_AFTER:g} % it goes in "
                "afterwards (after_development = true), soft but cool",
            )


def hydration_is_plausible(read: Reading) -> Iterator[Finding]:
    """Water far from any yeast dough (common practice: 42 to 95 % true water, whole grain takes up to 15 more)."""
    held = read.held
    if held is None or not read.yeasted or read.main.kind == "batter":
        return
    low, high = HYDRATION
    high += WHOLEGRAIN_TAKES * held.wholegrain_percent / 100
    if not low <= held.water_percent <= high:
        yield Finding(
            "hydration_is_plausible",
            "warn",
            _main(read),
            f"all liquids together bring {held.water_percent:.1f} % water on flour; a yeast dough has {low:g} to "
            f"{high:.0f} %",
        )


def composition_is_known(read: Reading) -> Iterator[Finding]:
    """Ingredients that cannot be counted because nothing says what is in them."""
    if read.held is None:
        return
    for what, keys in read.held.unknown.items():
        yield Finding(
            "composition_is_known",
            "note",
            _main(read),
            f"{what.replace('_', ' ')} of {', '.join(keys)} is not known and not counted; enter it from the "
            "specification sheet",
        )


def steering_liquid_is_marked(read: Reading) -> Iterator[Finding]:
    """A dough with a target temperature and liquids, none of which is marked as the one that steers it."""
    for part in read.doughs():
        liquids = [a for a, _ in read.rows(part) if a.line.ingredient and _wets(read, a.key)]
        if part.target_temp_c is None or not liquids or any(a.line.tempered for a in liquids):
            continue
        if any(line.part is not None and line.tempered for line in part.lines):
            continue
        yield Finding(
            "steering_liquid_is_marked",
            "note" if len(liquids) == 1 else "warn",
            f"part {part.id!r}",
            f"the dough has a target temperature, but no liquid is marked as the one that steers it: mark "
            f"{' or '.join(a.key for a in liquids)} with tempered = true",
        )


def filling_is_not_too_much(read: Reading) -> Iterator[Finding]:
    """More filling than half the dough runs out (common practice: 25 to 45 % of the dough for rolled buns)."""
    main_g = read.amounts.parts[read.formula.main].mass_g
    filling_g = sum(p.mass_g for p in read.amounts.parts.values() if p.part.kind == "filling")
    if main_g > 0 and 100 * filling_g / main_g > FILLING_MOST + 1e-6:
        yield Finding(
            "filling_is_not_too_much",
            "warn",
            "filling",
            f"the filling is {100 * filling_g / main_g:.0f} % of the dough; over {FILLING_MOST:g} % it runs out",
        )


def _usual(limits: UsualRange) -> str:
    return f"{limits.usual_low_percent:g} to {limits.usual_high_percent:g}"


def _osmotolerant(read: Reading) -> bool:
    keys = [k for k, m in read.amounts.ingredients(read.formula.main).items() if m > 0]
    yeasts = [read.pantry.find(k) for k in keys if read.pantry.find(k).kind == "yeast"]
    return bool(yeasts) and all("osmo" in (y.key + " " + y.name).lower() for y in yeasts)


def _wets(read: Reading, key: str) -> bool:
    stuff = read.pantry.find(key)
    return stuff.liquid and stuff.kind in ("liquid", "dairy", "egg")


def _main(read: Reading) -> str:
    return f"part {read.formula.main!r}"
