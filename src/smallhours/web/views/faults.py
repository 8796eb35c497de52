"""Pages for what cannot be shown."""

from __future__ import annotations

from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400: a host name that is not this machine, or a request that cannot be read; 413: one that is too large."""
    if isinstance(exception, RequestDataTooBig | TooManyFieldsSent):
        return render(request, "fault.html", {"fault": "413"}, status=413)
    return render(request, "fault.html", {"fault": "400"}, status=400)


def not_allowed(request: HttpRequest, sentence: str = "") -> HttpResponse:
    """403: the person may not, or not from here; with the sentence of what was asked, where there is one."""
    return render(request, "fault.html", {"fault": "403", "sentence": sentence}, status=403)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: a form without the token it was given, because it is from elsewhere or has been open for too long."""
    return render(request, "fault.html", {"fault": "stale"}, status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404: an address that names nothing; with the sentence of what was looked for, where there is one."""
    sentence = str(exception.args[0]) if exception and exception.args and isinstance(exception.args[0], str) else ""
    return render(request, "fault.html", {"fault": "404", "sentence": sentence}, status=404)


def broken(request: HttpRequest) -> HttpResponse:
    """500: a fault of the program."""
    return render(request, "fault.html", {"fault": "500"}, status=500)
