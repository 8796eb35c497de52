"""The night at a glance: the ribbons on one side, the due waves and what is late on the other."""

from __future__ import annotations

import datetime as dt

from smallhours.planning.plan import LateReason, PlanOrder
from smallhours.sheets.frame import Data, Frame
from smallhours.sheets.ribbons import fits, night_svg, windows
from smallhours.sheets.ribbons.night import Window
from smallhours.sheets.typesetting import PAPERS

_MARGIN, _TAKEN = 10.0, 37.0  # mm: sides, and what head, margins and foot take of the page's height
_WORDS = {
    "orders": "night-sheet.orders", "product": "night-sheet.product", "customer": "night-sheet.customer",
    "pieces": "night-sheet.pieces", "ready": "night-sheet.ready",
}  # fmt: skip


def night_data(frame: Frame) -> Data:
    """Data of the night sheet."""
    plan, say = frame.papers.plan, frame.speech.say
    late = [order for order in plan.orders if order.late_s > 0 or order.ready is None]
    verdict = say("night-sheet.late-some", count=len(late), all=len(plan.orders)) if late else say(
        "night-sheet.all-in-time")  # fmt: skip
    page = {
        **frame.page("night", plan.kitchen_name, "", ""),
        "verdict": verdict if plan.orders else say("night-sheet.status-empty"),
        "is-late": bool(late),
        "pictures": _pictures(frame),
        "alt": say("ribbon.title"),
        "waves": _waves(frame),
        "reasons": [_reason(frame, reason) for reason in plan.late],
        "status": say(f"night-sheet.status-{plan.status}"),
        "notes": list(plan.notes),
    }
    return frame.document("night", [page], _WORDS)


def _pictures(frame: Frame) -> list[Data]:
    """The whole night on one page, lying if it fits so; if it does not, standing, and then closer, part by part."""
    short, long = PAPERS[frame.paper]
    lying, standing = (long - 2 * _MARGIN, short - _TAKEN), (short - 2 * _MARGIN, long - _TAKEN)
    plan = frame.papers.plan
    if fits(plan, lying[1]):
        return [_picture(frame, lying)]
    closer = [_picture(frame, lying, window) for window in windows(plan, lying[1])]
    return [_picture(frame, standing), *closer]


def _picture(frame: Frame, size: tuple[float, float], window: Window | None = None) -> Data:
    width, height = size
    svg = night_svg(
        frame.papers.plan, lang=frame.lang, width_mm=width, height_mm=height, window=window, key=window is None
    )
    return {"svg": svg, "width": width, "room": height, "flipped": width > height}


def _waves(frame: Frame) -> list[Data]:
    waves: dict[dt.datetime, list[PlanOrder]] = {}
    for order in sorted(frame.papers.plan.orders, key=lambda o: (o.due, o.customer, o.product)):
        waves.setdefault(order.due, []).append(order)
    return [{"due": frame.clock(due), "rows": [_row(frame, order) for order in own]} for due, own in waves.items()]


def _row(frame: Frame, order: PlanOrder) -> Data:
    speech = frame.speech
    late = f"{speech.duration(order.late_s)} {speech.say('night-sheet.late')}" if order.late_s > 0 else ""
    return {
        "product": product_name(frame, order.product),
        "customer": order.customer,
        "pieces": speech.number(order.pieces),
        "ready": speech.say("night-sheet.not-ready") if order.ready is None else frame.clock(order.ready),
        "late": late,
    }


def _reason(frame: Frame, reason: LateReason) -> str:
    speech, names = frame.speech, frame.papers.names
    told = [
        speech.say(
            "night-sheet.late-by", product=product_name(frame, reason.product), late=speech.duration(reason.late_s)
        )
    ]
    if reason.resource and reason.start and reason.end:
        told.append(
            speech.say(
                "night-sheet.waits",
                resource=names.get(reason.resource, reason.resource),
                start=frame.clock(reason.start),
                end=frame.clock(reason.end),
            )
        )
    elif frame.lang == "en" and reason.sentence:
        told = [reason.sentence]
    if behind := speech.listed(_told_elsewhere(frame, reason.behind)):
        told.append(speech.say("night-sheet.behind", behind=behind))
    return " ".join(told)


def _called(frame: Frame, of: str) -> str:
    strand = frame.papers.strands.get(of)
    return f"{strand.mark} {strand.name}" if strand else product_name(frame, of)


def _told_elsewhere(frame: Frame, behind: tuple[str, ...]) -> list[str]:
    """What something waits behind: doughs and products in any language, free words only in the planner's own."""
    known = {**frame.papers.strands, **frame.papers.formulas}
    return [_called(frame, of) for of in behind if of in known or frame.lang == "en"]


def product_name(frame: Frame, product: str) -> str:
    """A product by the name of its formula, or by its id if that is not at hand."""
    formula = frame.papers.formulas.get(product)
    return formula.name if formula else product
