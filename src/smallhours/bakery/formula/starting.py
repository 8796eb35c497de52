"""Where a new formula begins: a plain lean dough, or a product on another's dough. Every figure is common practice."""

from __future__ import annotations

from smallhours.bakery.formula.document import Formula, Line, Part, Shaping, Stage, Yield

_HAND = 20.0  # seconds of hand work a piece
_ROOM_C = 24.0


def plain_dough(formula_id: str, name: str, dough_name: str) -> Formula:
    """A straight dough that holds together and can be forecast at once: 65 % water, 2 % salt, 1 % instant yeast."""
    lines = (
        Line(ingredient="bread-flour", percent=100),
        Line(ingredient="water", percent=65, tempered=True),
        Line(ingredient="salt", percent=2),
        Line(ingredient="yeast-instant", percent=1),
    )
    dough = Part(id="dough", name=dough_name, target_temp_c=_ROOM_C, lines=lines)
    before = (
        Stage(kind="mix", low_s=240, high_s=300),
        Stage(kind="ferment", duration_s=5400, min_s=4500, max_s=7200, at_temp_c=_ROOM_C),
    )
    return Formula(
        id=formula_id,
        name=name,
        parts=(dough,),
        output=Yield(piece_mass_g=900),
        shaping=Shaping(form="round"),
        stages=(*before, *_after_bulk(bake_s=2400, proof_s=4500)),
    )


def on_dough_of(base: Formula, formula_id: str, name: str) -> Formula:
    """A small round on another formula's dough, from dividing on."""
    return Formula(
        id=formula_id,
        name=name,
        base=base.base or base.id,
        main=base.main,
        output=Yield(piece_mass_g=80),
        shaping=Shaping(form="round"),
        stages=_after_bulk(bake_s=1080, proof_s=3600),
    )


def _after_bulk(bake_s: float, proof_s: float) -> tuple[Stage, ...]:
    return (
        Stage(kind="divide", per_piece_s=_HAND),
        Stage(kind="shape", per_piece_s=_HAND),
        Stage(kind="proof", duration_s=proof_s, min_s=0.75 * proof_s, max_s=1.5 * proof_s, at_temp_c=_ROOM_C, rise=2.2),
        Stage(kind="bake", duration_s=bake_s, set_temp_c=225),
        Stage(kind="cool", duration_s=3600, min_s=1800, max_s=6 * 3600),
    )
