"""For how much of a formula masses are shown: what a page asks for, by name and in the baker's own units."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.known_ingredients import KnownIngredients
from smallhours.actions.show_formula import ShowFormula, ShownFormula
from smallhours.bakery.formula.scaling import MOST_PIECES
from smallhours.sheets.words import Speech
from smallhours.web.formula_form import kinds as k

WAYS = ("pieces", "pans", "dough", "flour", "hand")
_COUNT = k.Kind(k.between(1, MOST_PIECES - 1, whole=True), str)


@dataclass(frozen=True)
class Asked:
    """What was asked for: the ``command`` (None if ``fault`` says why not), and the texts as typed."""

    command: ShowFormula | None
    by: str
    amount: str
    hand: str
    fault: str = ""


def read_amount(texts: k.Texts, slug: str, number: int | None, known: KnownIngredients, speech: Speech) -> Asked:
    """The amount in ``by``, ``amount`` and ``hand``; ``pieces`` alone means pieces. Nothing typed: the usual amount."""
    pieces = texts.get("pieces", "").strip()
    by = "pieces" if pieces else texts.get("by", "") or texts.get("amount-by", "")
    by = by if by in WAYS else "pieces"
    amount, hand = pieces or texts.get("amount", "").strip(), texts.get("hand", "").strip()
    if not amount:
        return Asked(ShowFormula(slug, number), by, "", hand)
    try:
        return Asked(_command(by, amount, hand, ShowFormula(slug, number), known, speech), by, amount, hand)
    except k.Wrong as wrong:
        found = amount if len(amount) <= 20 else amount[:19] + "…"
        if wrong.key in ("form.number", "form.whole", "form.between"):
            return Asked(None, by, amount, hand, speech.say(f"amount.{by}", most=MOST_PIECES - 1, found=found))
        return Asked(None, by, amount, hand, speech.say(wrong.key, found=found, **wrong.more))


def _command(
    by: str, amount: str, hand: str, plain: ShowFormula, known: KnownIngredients, speech: Speech
) -> ShowFormula:
    slug, number = plain.slug, plain.number
    if by == "pieces":
        return ShowFormula(slug, number, pieces=_COUNT.read(amount))
    if by == "pans":
        return ShowFormula(slug, number, pans=_COUNT.read(amount))
    mass_g = k.BULK.read(amount)
    if by == "dough":
        return ShowFormula(slug, number, dough_g=mass_g)
    if by == "flour":
        return ShowFormula(slug, number, flour_g=mass_g)
    key = known.key_of(hand)
    if key is None:
        raise k.Wrong("amount.which", near=", ".join(known.near(hand, speech.lang)))
    return ShowFormula(slug, number, on_hand=(key, mass_g))


def amount_said(shown: ShownFormula, speech: Speech) -> str:
    """For how much the masses are."""
    scaled = shown.scaled
    if not scaled.pieces:
        return speech.say("formula-page.for-dough", mass=speech.kilograms(scaled.losses.weighed_g))
    pieces, pans = speech.short(scaled.pieces, 0), speech.short(scaled.pans, 0)
    if scaled.pieces == 1:
        return speech.say("formula-page.for-one-piece")
    if shown.whole.pan and scaled.pans == 1:
        return speech.say("formula-page.for-one-pan", pieces=pieces)
    if shown.whole.pan:
        return speech.say("formula-page.for-pieces", pieces=pieces, pans=pans)
    return speech.say("formula-page.for-pieces-only", pieces=pieces)
