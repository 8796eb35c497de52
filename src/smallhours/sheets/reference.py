"""The reference printed on a sheet, in letters and as a QR code: which plan, which part of it."""

from __future__ import annotations

from urllib.parse import quote

import segno

from smallhours.planning.plan import Plan


def reference(plan: Plan, *parts: str) -> str:
    """Our own plain-text reference of a plan or of something in it.

    ``smallhours:plan/<night>/<what>/<id>``; what is not a letter, digit, ``-``, ``.`` or ``_`` is percent-encoded
    (RFC 3986, 2.1).
    """
    return "/".join([f"smallhours:plan/{plan.night.isoformat()}", *(quote(part, safe="") for part in parts)])


def qr_svg(text: str) -> str:
    """A QR code of the text as SVG: always a full one, since not every reader knows the micro form."""
    svg: str = segno.make(text, micro=False, error="m", boost_error=False).svg_inline(border=2, omitsize=True)
    return svg
