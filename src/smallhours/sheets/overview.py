"""The night at a glance: the ribbons on one side, the due waves and what is late on the other."""

from __future__ import annotations

import datetime as dt

from smallhours.planning.plan import LateReason, PlanOrder
from smallhours.sheets.frame import Data, Frame
from smallhours.sheets.ribbons import night_svg, windows
from smallhours.sheets.typesetting import PAPERS

_MARGIN, _TAKEN = 10.0, 37.0  # mm: sides, and what head, margins and foot take of the page's height
_WORDS = {
    "orders": "night-sheet.orders", "product": "night-sheet.product", "customer": "night-sheet.customer",
    "pieces": "night-sheet.pieces", "ready": "night-sheet.ready",
}  # fmt: skip


def night_data(frame: Frame) -> Data:
    """Data of the night sheet."""
    plan, say = frame.papers.plan, frame.speech.say
    short, long = PAPERS[frame.paper]
    width, height = long - 2 * _MARGIN, short - _TAKEN
    late = [order for order in plan.orders if order.late_s > 0 or order.ready is None]
    verdict = say("night-sheet.late-some", count=len(late), all=len(plan.orders)) if late else say(
        "night-sheet.all-in-time")  # fmt: skip
    page = {
        **frame.page("night", plan.kitchen_name, "", ""),
        "verdict": verdict if plan.orders else say("night-sheet.status-empty"),
        "is-late": bool(late),
        "pictures": [
            {"svg": night_svg(plan, lang=frame.lang, width_mm=width, height_mm=height, window=window, key=number == 0)}
            for number, window in enumerate(windows(plan, height))
        ],
        "room": height,
        "alt": say("ribbon.title"),
        "waves": _waves(frame),
        "reasons": [_reason(frame, reason) for reason in plan.late],
        "status": say(f"night-sheet.status-{plan.status}"),
        "notes": list(plan.notes),
    }
    return frame.document("night", [page], _WORDS)


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
    if reason.behind:
        behind = speech.listed(_called(frame, of) for of in reason.behind)
        told.append(speech.say("night-sheet.behind", behind=behind))
    return " ".join(told)


def _called(frame: Frame, of: str) -> str:
    strand = frame.papers.strands.get(of)
    return f"{strand.mark} {strand.name}" if strand else product_name(frame, of)


def product_name(frame: Frame, product: str) -> str:
    """A product by the name of its formula, or by its id if that is not at hand."""
    formula = frame.papers.formulas.get(product)
    return formula.name if formula else product
