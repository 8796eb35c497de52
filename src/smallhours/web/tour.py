"""A guided look at a night: six pages, each with a card that says what to look at. The cards stand on the pages
themselves, are plain links and need no script."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from django.urls import reverse

from smallhours.records import queries
from smallhours.sheets.words import Speech


@dataclass(frozen=True)
class Step:
    """One card: its place in the row, what it says, where it leads."""

    number: int
    count: int
    title: str
    text: str
    before: str
    after: str
    leave: str

    @property
    def last(self) -> bool:
        """Whether the look ends here."""
        return self.number == self.count


STEPS: tuple[tuple[str, Callable[[dt.date], str]], ...] = (
    ("ribbons", lambda night: reverse("plan-overview", args=[night])),
    ("weigh", lambda night: reverse("plan-weigh", args=[night])),
    ("people", lambda night: reverse("plan-people", args=[night])),
    ("formula", lambda night: reverse("formulas-one", args=[_formula(night)])),
    ("orders", lambda night: reverse("orders") + f"?date={night}"),
    ("kitchen", lambda night: reverse("kitchen")),
)
"""What the cards are called and which page each stands on."""


def step_on(asked: str, speech: Speech) -> Step | None:
    """The card of a number as it stands in an address; None for what is none, or while there is no plan."""
    nights = queries.plan_nights()
    known = asked.isascii() and asked.isdigit() and len(asked) < 3 and 1 <= int(asked) <= len(STEPS)
    if not (known and nights and queries.formula_slugs()):
        return None
    number, night = int(asked), nights[0]
    key = STEPS[number - 1][0]
    return Step(
        number,
        len(STEPS),
        speech.say(f"tour.{key}-title"),
        speech.say(f"tour.{key}"),
        address(number - 1, night) if number > 1 else "",
        address(number + 1, night) if number < len(STEPS) else reverse("first"),
        reverse("plan"),
    )


def address(number: int, night: dt.date) -> str:
    """Where a card stands."""
    page = STEPS[number - 1][1](night)
    return f"{page}{'&' if '?' in page else '?'}tour={number}"


def _formula(night: dt.date) -> str:
    """A formula of that night with the most parts: there is most to see; any other if the plan names none."""
    formulas = {slug: kept.document for slug, kept in queries.kept_formulas().items()}
    ordered = [order.product for order in queries.order_book().on(night) if order.product in formulas]
    return max(ordered or formulas, key=lambda slug: (len(formulas[slug].stages), slug))
