"""A small invented bakery for the tests of orders: a shared sweet dough, a hearth loaf with a preferment, a bun."""

from __future__ import annotations

import datetime as dt

from smallhours.bakery.formula.document import Formula, Line, Part, Shaping, Stage, Yield
from smallhours.bakery.kitchen.document import Deck, Kitchen, Mixer, Oven, Pan, Temperatures
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry

DAY = dt.date(2026, 3, 12)
PANTRY = Pantry()

SWEET = Formula(
    id="sweet-dough",
    name="Sweet dough",
    parts=(
        Part(
            id="dough",
            name="Sweet dough",
            lines=(
                Line(ingredient="bread-flour", percent=100),
                Line(ingredient="milk-whole", percent=50, tempered=True),
                Line(ingredient="egg-whole", percent=10),
                Line(ingredient="sugar", percent=12),
                Line(ingredient="butter-unsalted", percent=15, after_development=True, addition=2),
                Line(ingredient="salt", percent=1.8),
                Line(ingredient="yeast-instant", percent=1.2),
            ),
        ),
    ),
    stages=(
        Stage(kind="mix", low_s=180, high_s=480),
        Stage(kind="ferment", duration_s=3600, at_temp_c=24),
    ),
)
BRAID = Formula(
    id="braid",
    name="Braid",
    base="sweet-dough",
    pan="tray",
    pieces_per_pan=4,
    output=Yield(piece_mass_g=500),
    shaping=Shaping(form="braid", strands=3),
    parts=(
        Part(
            id="wash",
            name="Egg wash",
            kind="wash",
            lines=(Line(ingredient="egg-whole", percent=100),),
            percent_on="egg-whole",
            mass_per_piece_g=8,
        ),
    ),
    stages=(
        Stage(kind="divide", per_piece_s=15),
        Stage(kind="proof", duration_s=4500, at_temp_c=26),
        Stage(kind="bake", duration_s=1800, set_temp_c=180, uses=("wash",)),
    ),
)
BUN = Formula(
    id="bun",
    name="Burger bun",
    base="sweet-dough",
    pan="tray",
    pieces_per_pan=15,
    output=Yield(piece_mass_g=90),
    stages=(
        Stage(kind="divide", per_piece_s=4),
        Stage(kind="proof", duration_s=3600, at_temp_c=26),
        Stage(kind="bake", duration_s=840, set_temp_c=200),
    ),
)
HEARTH = Formula(
    id="hearth",
    name="Hearth loaf",
    pan="board",
    pieces_per_pan=6,
    output=Yield(piece_mass_g=900),
    parts=(
        Part(
            id="poolish",
            name="Poolish",
            kind="preferment",
            lines=(
                Line(ingredient="bread-flour", percent=100),
                Line(ingredient="water", percent=100),
                Line(ingredient="yeast-instant", percent=0.1),
            ),
        ),
        Part(
            id="dough",
            name="Hearth dough",
            percent_on="total",
            lines=(
                Line(ingredient="bread-flour", percent=100),
                Line(part="poolish", flour_percent=25),
                Line(ingredient="water", percent=68),
                Line(ingredient="salt", percent=2),
            ),
        ),
    ),
    stages=(
        Stage(kind="mix", part="poolish", low_s=180),
        Stage(kind="ferment", part="poolish", duration_s=12 * 3600, at_temp_c=20),
        Stage(kind="mix", low_s=300, high_s=240),
        Stage(kind="ferment", duration_s=7200, at_temp_c=24),
        Stage(kind="divide", per_piece_s=10),
        Stage(kind="proof", duration_s=3600, at_temp_c=24),
        Stage(kind="bake", duration_s=2400, set_temp_c=240, steam=True),
    ),
)
FORMULAS = {formula.id: formula for formula in (SWEET, BRAID, BUN, HEARTH)}

KITCHEN = Kitchen(
    id="kitchen",
    name="Kitchen",
    timezone="Europe/Madrid",
    temperatures=Temperatures(room_c=20),
    mixers=(
        Mixer(id="spiral", name="Spiral", min_dough_g=4000, max_dough_g=30000),
        Mixer(id="planetary", name="Planetary", kind="planetary", min_dough_g=1000, max_dough_g=8000),
    ),
    ovens=(
        Oven(
            id="deck",
            name="Deck oven",
            decks=(Deck(id="deck-1", tray_places=2), Deck(id="deck-2", tray_places=2)),
            heat_k_per_min=4,
            cool_k_per_min=2,
            steam=True,
        ),
        Oven(
            id="fan",
            name="Fan oven",
            kind="convection",
            decks=(Deck(id="fan-1", tray_places=5),),
            max_temp_c=230,
            heat_k_per_min=8,
            cool_k_per_min=5,
        ),
    ),
    pans=(
        Pan(id="tray", name="Tray", count=40),
        Pan(id="board", name="Board", kind="board", count=8),
    ),
)


def order(product: str, pieces: int, due: dt.time = dt.time(6), customer: str = "Shop", date: dt.date = DAY) -> Order:
    """One order."""
    return Order(customer=customer, product=product, date=date, due=due, pieces=pieces)
