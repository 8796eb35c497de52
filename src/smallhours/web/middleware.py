"""Around every page: who may ask, what a page may load, in which language it speaks."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from smallhours.sheets.words import LANGUAGES
from smallhours.web.words import page_speech

Handler = Callable[[HttpRequest], HttpResponse]
LANGUAGE_COOKIE = "smallhours-lang"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
PERMISSIONS = "camera=(self), geolocation=(), microphone=(), payment=(), usb=()"


def content_security(get_response: Handler) -> Handler:
    """Nothing from elsewhere, nothing inline."""

    def handle(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        return response

    return handle


def host_is_ours(get_response: Handler) -> Handler:
    """Refuse a page, also a static file, asked for under a name that is not one of this machine's."""

    def handle(request: HttpRequest) -> HttpResponse:
        request.get_host()  # raises DisallowedHost, which is answered with 400
        return get_response(request)

    return handle


def language(get_response: Handler) -> Handler:
    """The language asked for (``?lang=``), else the one chosen before, else the browser's, else English."""

    def handle(request: HttpRequest) -> HttpResponse:
        asked = request.GET.get("lang")
        chosen = asked if asked in LANGUAGES else request.COOKIES.get(LANGUAGE_COOKIE)
        lang = chosen if chosen in LANGUAGES else wanted(request.headers.get("Accept-Language", ""))
        request.speech = page_speech(lang)
        response = get_response(request)
        response.headers.setdefault("Content-Language", lang)
        response.headers["Vary"] = "Accept-Language, Cookie"
        if asked in LANGUAGES:
            response.set_cookie(
                LANGUAGE_COOKIE,
                asked,
                max_age=365 * 86400,
                samesite="Lax",
                httponly=True,
                secure=request.is_secure(),
            )
        return response

    return handle


def wanted(accept: str) -> str:
    """The best of our languages in an Accept-Language header (RFC 9110, section 12.5.4); English if none is."""
    ranked = []
    for place, entry in enumerate(accept[:500].split(",")):
        name, _, weight = entry.partition(";")
        try:
            quality = float(weight.strip().removeprefix("q=") or 1)
        except ValueError:
            quality = 0.0
        ranked.append((-quality, place, name.strip().lower().partition("-")[0]))
    return next((name for low, _, name in sorted(ranked) if name in LANGUAGES and low < 0), "en")
