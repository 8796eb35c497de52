"""A browser that signs in and taps in."""

from __future__ import annotations

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

HOST = "127.0.0.1:8350"
PASSWORD = "{} likes warm bread"
SAMPLES = {"day": "2026-01-15", "slug": "hearth-loaf", "int": "1", "str": "x", "path": "x", "uuid": "0" * 32}


def stranger(**extra: str) -> Client:
    """A browser nobody has signed in with."""
    return Client(headers={"host": HOST}, raise_request_exception=False, **extra)


def signed_in(name: str, **extra: str) -> Client:
    """A browser in which somebody has signed in at the desk."""
    browser = stranger(**extra)
    answer = browser.post("/sign-in/", {"name": name, "password": PASSWORD.format(name.lower())})
    assert answer.status_code == 302, answer.content
    return browser


def paired(name: str = "By the oven") -> Client:
    """A tablet's browser, paired."""
    from smallhours.actions.people.tablets import AddTablet, add_tablet

    browser = stranger()
    answer = browser.post("/pair/", {"code": add_tablet(AddTablet(name)).readable})
    assert answer.headers["Location"] == "/tablet/"
    return browser


def tapped_in(name: str, pin: str = "4711") -> Client:
    """A paired tablet on which somebody has typed a PIN."""
    from smallhours.actions.people.set_secret import SetPin, set_pin

    browser = paired()
    person = set_pin(SetPin(name, pin))
    assert browser.post(f"/tablet/{person.id}/", {"pin": pin}).status_code == 302
    return browser


def addresses() -> dict[str, object]:
    """Every address of the pages, its parts filled in, with its view."""
    found: dict[str, object] = {}

    def walk(patterns: list[URLPattern | URLResolver], before: str) -> None:
        for one in patterns:
            text = before + str(one.pattern)
            if isinstance(one, URLResolver):
                walk(one.url_patterns, text)
                continue
            for name, converter in one.pattern.converters.items():
                kind = type(converter).__name__.removesuffix("Converter").lower()
                kind = {"string": "str"}.get(kind, kind)
                text = text.replace(f"<{kind}:{name}>", SAMPLES[kind]).replace(f"<{name}>", SAMPLES[kind])
            found["/" + text] = one.callback

    walk(get_resolver().url_patterns, "")
    return found
