"""The rules that paint the dough ribbons, for light and dark pages."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from smallhours.sheets.ribbons.paint import ribbon_css
from smallhours.web.signing import anyone


@anyone
def css(request: HttpRequest) -> HttpResponse:
    """The style sheet."""
    response = HttpResponse(ribbon_css(), content_type="text/css; charset=utf-8")
    response.headers["Cache-Control"] = "max-age=3600"
    return response
