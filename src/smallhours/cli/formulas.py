"""Commands about formulas: ``formula`` lays one open at the size wanted, ``swap`` exchanges an ingredient."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console
from rich.text import Text

from smallhours.cli import replies as r
from smallhours.cli.options import HomeOption, JsonOption, open_home, read_mass_g
from smallhours.cli.say import Ending, console, end, give_json, say_findings, table
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.shelf import Shelf
    from smallhours.actions.show_formula import ShownFormula, ShownPart
    from smallhours.bakery.formula.balance import Balance
    from smallhours.bakery.formula.document import Formula
    from smallhours.bakery.formula.swaps import Move, Swapped

_BASES = {"part": "flour of the part", "total": "all flour", "mass": "mass"}


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("formula")(formula)
    app.command("swap")(swap)


def formula(
    formula_id: Annotated[str | None, typer.Argument(metavar="[ID]", help="A formula; none: list them.")] = None,
    home: HomeOption = None,
    as_json: JsonOption = False,
    pieces: Annotated[int | None, typer.Option("--pieces", help="For so many pieces.")] = None,
    pans: Annotated[int | None, typer.Option("--pans", help="For so many pans.")] = None,
    dough: Annotated[str | None, typer.Option("--dough", help="For so much dough, like '12 kg'.")] = None,
    flour: Annotated[str | None, typer.Option("--flour", help="For so much flour, like '7.5 kg'.")] = None,
    on_hand: Annotated[
        str | None, typer.Option("--on-hand", help="As far as one ingredient goes, like 'butter-unsalted=7.2 kg'.")
    ] = None,
    revision: Annotated[int | None, typer.Option("--revision", help="An earlier revision.")] = None,
) -> None:
    """Lay a formula open: masses and percentages, what it truly holds, what does not add up."""
    open_home(home)
    if formula_id is None:
        _list(as_json)
        return
    from smallhours.actions.show_formula import ShowFormula, show_formula

    shown = show_formula(
        ShowFormula(
            formula_id,
            revision,
            pieces=pieces,
            pans=pans,
            dough_g=None if dough is None else read_mass_g("--dough", dough),
            flour_g=None if flour is None else read_mass_g("--flour", flour),
            on_hand=None if on_hand is None else _on_hand(on_hand),
        )
    )
    if as_json:
        give_json(_reply(shown))
    else:
        _say(console(), shown)
    if any(finding.severity in ("wrong", "warn") for finding in shown.findings):
        end(Ending.NEEDS_ATTENTION)


def _on_hand(text: str) -> tuple[str, float]:
    key, equals, mass = text.partition("=")
    if not equals:
        raise BadInput(f"--on-hand {text!r}: write it like 'butter-unsalted=7.2 kg'")
    return key.strip(), read_mass_g("--on-hand", mass)


def _list(as_json: bool) -> None:
    from smallhours.actions.shelf import shelf

    held = shelf()
    entries = tuple(_entry(held, slug, one) for slug, one in sorted(held.formulas.items()))
    if as_json:
        give_json(r.FormulasReply(formulas=entries))
        return
    rows = [(e.id, e.name, e.dough_class or "", e.base or "") for e in entries]
    console().print(table("", ("id", "name", "dough", "made from"), rows))


def _entry(held: Shelf, slug: str, one: Formula) -> r.FormulaEntry:
    from smallhours.bakery.formula.balance import balance

    try:
        dough_class = balance(held.whole_formula(slug), held.pantry()).dough_class
    except BadInput:
        dough_class = None
    pieces = one.pieces_per_pan if one.pan else None
    return r.FormulaEntry(id=slug, name=one.name, dough_class=dough_class, base=one.base, pieces_per_pan=pieces)


def _say(out: Console, shown: ShownFormula) -> None:
    scaled = shown.scaled
    out.print(Text(f"{shown.whole.name} ({shown.whole.id}, revision {shown.number})", style="bold"))
    size = f"{scaled.losses.weighed_g / 1000:.3f} kg weighed, {scaled.amounts.flour_g / 1000:.3f} kg flour"
    if scaled.pieces:
        size = f"{scaled.pieces} pieces of {scaled.piece_mass_g:g} g, {size}"
    if shown.whole.pan:
        size += f", {scaled.pans} x {shown.whole.pan}"
    out.print(Text(size))
    for part in shown.parts:
        basis = _BASES.get(part.basis, part.basis)
        title = f"\n{part.part.name}: {part.mass_g / 1000:.3f} kg (percent of {basis})"
        out.print(table(title, ("", "%", "% all flour", "mass", "goes in"), _rows(part), (1, 2, 3)))
    main = next(part for part in shown.parts if part.part.id == shown.whole.main)
    if main.balance is not None:
        out.print(Text(f"\n{_balance_said(main.balance)}"))
    say_findings(out, shown.findings)
    for caution in shown.whole.cautions:
        out.print(Text(f"  take care: {caution}"))


def _rows(part: ShownPart) -> Iterator[tuple[str, ...]]:
    for line in part.lines:
        goes = f"{line.line.addition}" + (", once developed" if line.line.after_development else "")
        mass = f"{line.mass_g / 1000:.3f} kg" if line.mass_g >= 1000 else f"{line.mass_g:g} g"
        total = "" if line.total_percent is None else f"{line.total_percent:.2f}"
        yield line.name, f"{line.percent:.2f}", total, mass, goes


def _balance_said(b: Balance) -> str:
    return (
        f"On all flour: water {b.water_percent:.1f} %, poured liquid {b.poured_liquid_percent:.1f} %, "
        f"fat {b.fat_percent:.1f} %, sugar {b.sugar_percent:.1f} %, egg {b.egg_percent:.1f} %, "
        f"milk solids {b.milk_solids_percent:.1f} %, salt {b.salt_percent:.2f} %, "
        f"yeast (as instant) {b.yeast_percent:.2f} %. {b.dough_class.capitalize()}: {b.class_reason}."
    )


def _reply(shown: ShownFormula) -> r.FormulaReply:
    main = next(part for part in shown.parts if part.part.id == shown.whole.main)
    return r.FormulaReply(
        id=shown.whole.id,
        name=shown.whole.name,
        revision=shown.number,
        base=shown.formula.base,
        pieces=shown.scaled.pieces or None,
        pans=shown.scaled.pans or None,
        piece_mass_g=shown.scaled.piece_mass_g or None,
        flour_g=shown.scaled.amounts.flour_g,
        parts=tuple(_part(part) for part in shown.parts),
        overall_percent=dict(shown.overall),
        balance=None if main.balance is None else _balance(main.balance),
        allergens=shown.allergens,
        findings=tuple(r.Said.of(finding) for finding in shown.findings),
    )


def _part(part: ShownPart) -> r.PartReply:
    return r.PartReply(
        id=part.part.id,
        name=part.part.name,
        kind=part.part.kind,
        basis=part.basis,
        mass_g=part.mass_g,
        lines=tuple(
            r.LineReply(
                key=line.key,
                name=line.name,
                percent=line.percent,
                total_percent=line.total_percent,
                exact_g=line.exact_g,
                mass_g=line.mass_g,
                step_g=line.step_g,
                addition=line.line.addition,
                after_development=line.line.after_development,
            )
            for line in part.lines
        ),
    )


def _balance(b: Balance) -> r.BalanceReply:
    return r.BalanceReply(
        water_percent=b.water_percent,
        poured_liquid_percent=b.poured_liquid_percent,
        fat_percent=b.fat_percent,
        sugar_percent=b.sugar_percent,
        milk_solids_percent=b.milk_solids_percent,
        egg_percent=b.egg_percent,
        salt_percent=b.salt_percent,
        yeast_percent=b.yeast_percent,
        wholegrain_percent=b.wholegrain_percent,
        dough_class=b.dough_class,
        class_reason=b.class_reason,
        flags=b.flags,
        unknown={what: tuple(keys) for what, keys in b.unknown.items()},
    )


def swap(
    formula_id: Annotated[str, typer.Argument(metavar="ID", help="A formula.")],
    swap_id: Annotated[str | None, typer.Argument(metavar="[SWAP]", help="Which swap; none: list them.")] = None,
    home: HomeOption = None,
    as_json: JsonOption = False,
    part: Annotated[str | None, typer.Option("--part", help="Only in this part.")] = None,
    instead: Annotated[str | None, typer.Option("--instead", help="Another ingredient of the same use.")] = None,
    save: Annotated[bool, typer.Option("--save", help="Write it as a new revision.")] = False,
) -> None:
    """Exchange an ingredient so that water, fat, sugar and salt stay; says what changes."""
    open_home(home)
    from smallhours.actions.swap_formula import SwapInFormula, save_swap, swap_in_formula, swaps_of

    if swap_id is None:
        found = swaps_of(formula_id)
        if as_json:
            give_json(r.SwapsReply(formula=formula_id, swaps=found))
        else:
            console().print(Text("\n".join(found) if found else "There is nothing to swap in this formula."))
        return
    command = SwapInFormula(formula_id, swap_id, part, instead)
    done = swap_in_formula(command)
    number = save_swap(command).number if save else None
    if as_json:
        give_json(_swap_reply(formula_id, swap_id, done, number))
    else:
        _say_swap(console(), done, number)


def _say_swap(out: Console, done: Swapped, number: int | None) -> None:
    moves = [(m.part, m.name, f"{m.before:.2f}", f"{m.after:.2f}", _unit(m.basis), _way(m)) for m in done.moves]
    out.print(table("What changes", ("part", "ingredient", "before", "after", "", ""), moves, (2, 3)))
    rows = [
        (s.part, s.what, f"{s.before_percent:.2f}", f"{s.after_percent:.2f}", f"% of {s.basis}") for s in done.shifts
    ]
    out.print(table("\nWhat the part holds", ("part", "what", "before", "after", ""), rows, (2, 3)))
    for word, allergens in (("comes in", done.allergens_came), ("goes out", done.allergens_went)):
        if allergens:
            out.print(Text(f"allergen {word}: {', '.join(sorted(allergens))}"))
    for remark in done.remarks:
        out.print(Text(f"note: {remark}"))
    out.print(Text("Nothing was written (--save writes it)." if number is None else f"Written as revision {number}."))


def _unit(basis: str) -> str:
    return "g" if basis == "g" else f"% of {_BASES.get(basis, basis)}"


def _way(move: Move) -> str:
    return "goes out" if move.after == 0 else "comes in" if move.before == 0 else ""


def _swap_reply(formula_id: str, swap_id: str, done: Swapped, number: int | None) -> r.SwapReply:
    return r.SwapReply(
        formula=formula_id,
        swap=swap_id,
        moves=tuple(
            r.MoveReply(
                part=m.part, key=m.key, name=m.name, addition=m.addition, basis=m.basis, before=m.before, after=m.after
            )
            for m in done.moves
        ),
        shifts=tuple(
            r.ShiftReply(
                part=s.part, what=s.what, basis=s.basis, before_percent=s.before_percent, after_percent=s.after_percent
            )
            for s in done.shifts
        ),
        allergens_came=tuple(sorted(done.allergens_came)),
        allergens_went=tuple(sorted(done.allergens_went)),
        remarks=done.remarks,
        toml=done.formula.to_toml(),
        saved=number is not None,
        revision=number,
    )
