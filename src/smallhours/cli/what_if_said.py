"""Nights side by side, cures, headroom and fits, as text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.text import Text

from smallhours.bakery.quantity import write_duration
from smallhours.cli.say import table

if TYPE_CHECKING:
    from smallhours.actions.what_if import SideBySide
    from smallhours.planning.whatif.document import Brings, Cures, Fit, Headroom, Measures, More

_NOT_TRIED = "Not everything could be tried in the time given; --limit gives longer."


def say_nights(out: Console, told: SideBySide) -> None:
    """Nights side by side, then every order that is not ready at the same time in all of them."""
    zone = ZoneInfo(told.timezone)
    numbered = [(str(number), night) for number, night in enumerate(told.nights)]
    headings = ("", "late", "people", "first work", "waits until due", "ovens on", "night")
    rows = (_night(number, night, zone) for number, night in numbered)
    out.print(table(f"The night to {told.night:%A %d %B %Y}", headings, rows, (1, 2, 3, 4, 5)))
    for number, night in numbered:
        if night.note:
            out.print(Text(f"{number}: {night.note}"))
    names = ("due", *(number for number, _ in numbered), "product", "customer")
    out.print(table("\nReady at (! late), where the nights differ", names, _orders(told, zone)))


def _night(number: str, night: Measures, zone: ZoneInfo) -> tuple[str, ...]:
    if not night.fits:
        return (number, "no plan", "-", "-", "-", "-", night.name)
    late = _length(night.late_s) if night.late_s else "-"
    first = "-" if night.first_start is None else f"{night.first_start.astimezone(zone):%a %H:%M}"
    lengths = (_length(s) for s in (night.waits_s, night.oven_s))
    return (number, late, _length(night.people_s), first, *lengths, night.name)


def _orders(told: SideBySide, zone: ZoneInfo) -> Iterator[tuple[str, ...]]:
    ready: dict[tuple[str, str, dt.datetime], list[str]] = {}
    for number, night in enumerate(told.nights):
        for order in night.orders:
            key = (order.customer, order.product, order.due)
            said = "-" if order.ready is None else f"{order.ready.astimezone(zone):%H:%M}{'!' if order.late_s else ''}"
            ready.setdefault(key, ["-"] * len(told.nights))[number] = said
    for (customer, product, due), times in sorted(ready.items(), key=lambda item: (item[0][2], item[0][:2])):
        if len(set(times)) > 1:
            yield (f"{due.astimezone(zone):%H:%M}", *times, product, customer)


def say_cures(out: Console, found: Cures) -> None:
    """What is late, and what would cure it, the least trouble first."""
    if not found.late:
        out.print(Text(f"Every order of the night to {found.night} is on time: there is nothing to cure."))
        return
    if not found.fits:
        out.print(Text(f"Nothing fits in the night to {found.night} as it is.", style="bold"))
    else:
        proven = "; no plan without a change is less late" if found.proven else ""
        out.print(Text(f"Late in the night to {found.night}{proven}:", style="bold"))
        for order in found.late:
            out.print(Text(f"  {order}"))
    if found.cures:
        out.print(Text("\nEach of these was planned, and cures it:"))
    for cure in found.cures:
        out.print(Text(f"- {cure.sentence}"))
    if not found.cures:
        out.print(Text(f"\nNo change that was tried cures anything ({found.tried} tries)."))
    if found.stopped:
        out.print(Text(_NOT_TRIED))


def say_headroom(out: Console, found: Headroom) -> None:
    """What a night has left."""
    zone = ZoneInfo(found.timezone)
    out.print(Text(f"The night to {found.night:%A %d %B %Y} is on time.", style="bold"))
    out.print(Text(_earlier(found)))
    rows = ((f"{100 * load.used_fraction:.0f} %", _span(load.start, load.end, zone), load.name) for load in found.loads)
    out.print(table("\nThe fullest hours", ("used", "when", "what"), rows, (0,)))
    if found.more:
        headings = ("so many more", "due", "product", "")
        out.print(table("\nMore of one product, all the rest on time", headings, _more(found, zone), (0,)))
    if found.grows:
        rows_ = ((_grows(one), one.sentence) for one in found.grows)
        out.print(table("\nHow much more of everything", ("", "with"), rows_, (0,)))
    if found.stopped:
        out.print(Text(_NOT_TRIED))


def _earlier(found: Headroom) -> str:
    if not found.earlier_s:
        start = "Nothing less than 5 min before it is due can be asked of all orders"
    else:
        start = f"All of it could be ready {write_duration(found.earlier_s)} before it is due"
    if found.not_earlier_s is None:
        return f"{start}, and more was not tried."
    waits = f": it waits for {', '.join(found.holds_up)}" if found.holds_up else ""
    return f"{start}; {write_duration(found.not_earlier_s)} was not found{waits}."


def _span(start: dt.datetime, end: dt.datetime, zone: ZoneInfo) -> str:
    return f"{start.astimezone(zone):%a %H:%M} to {end.astimezone(zone):%H:%M}"


def _more(found: Headroom, zone: ZoneInfo) -> Iterator[tuple[str, ...]]:
    for one in sorted(found.more, key=lambda more: (more.due, more.product)):
        yield str(one.pieces), f"{one.due.astimezone(zone):%H:%M}", one.product, _not_more(one)


def _not_more(one: More) -> str:
    if one.too_many is None:
        return "more was not tried"
    return f"{one.too_many} are too many" if one.proven else f"no plan found for {one.too_many}"


def _grows(one: Brings) -> str:
    if not one.grows_percent and one.not_percent is not None:
        return f"under {one.not_percent:g} %"
    return f"{one.grows_percent:g} %" + (" or more" if one.not_percent is None else "")


def say_fit(out: Console, found: Fit) -> None:
    """Whether an order fits."""
    zone = ZoneInfo(found.timezone)
    what = f"{found.pieces} {found.product} for {found.due.astimezone(zone):%H:%M}"
    if found.fits:
        assert found.ready is not None
        out.print(
            Text(f"{what} fit: ready at {found.ready.astimezone(zone):%H:%M}, all the rest as it was.", style="bold")
        )
    elif found.proven:
        out.print(Text(f"{what} do not fit: no plan has them on time with all the rest.", style="bold"))
    else:
        out.print(Text(f"{what}: no plan was found that has them on time with all the rest.", style="bold"))
    if found.late_s:
        assert found.ready is not None
        out.print(Text(f"They would be ready at {found.ready.astimezone(zone):%H:%M}, {_length(found.late_s)} late."))
    for late in found.late_elsewhere:
        out.print(Text(f"Later for it: {late}."))
    if found.ready is not None:
        costs = ((found.costs.people_s, "of people"), (found.costs.oven_s, "of ovens"))
        said = [f"{_length(abs(s))} {'more' if s > 0 else 'less'} {of}" for s, of in costs if abs(s) >= 60]
        out.print(Text(f"It costs {', '.join(said)}." if said else "It costs no time of people or ovens."))
    if found.cut_off is not None:
        not_at = "" if found.not_at is None else f", not at {found.not_at.astimezone(zone):%a %H:%M}"
        out.print(Text(f"It can be taken until {found.cut_off.astimezone(zone):%a %H:%M}{not_at}."))
        out.print(Text(f"That rests on {found.rests_on}."))


def _length(seconds: float) -> str:
    return write_duration(60 * round(seconds / 60)) if seconds >= 30 else "0 min"
