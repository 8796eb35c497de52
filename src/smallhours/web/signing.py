"""Who asks for a page, and whether they may: signed in at the desk, tapped in on a shared tablet, or nobody.

A page is for the desk unless its view says otherwise (``anyone``, ``on_tablets``). What somebody may *do* is decided by
the actions; what is decided here is which pages answer at all.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.backends import BaseBackend
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from smallhours.actions.clock import now
from smallhours.actions.people.tablets import tablet_here
from smallhours.actions.permissions import BAKER, Actor
from smallhours.errors import NotAllowed
from smallhours.records import people
from smallhours.records.models import Person
from smallhours.web.views import faults

View = Callable[..., HttpResponse]
TABLET_COOKIE = "smallhours-tablet"
_READING = ("GET", "HEAD")


def anyone(view: View) -> View:
    """A page for everybody, or one that finds out by itself who asks (as an interface with tokens does)."""
    view.for_anyone = True
    return view


def on_tablets(view: View | None = None, *, writes: bool = False) -> Any:
    """A page that also answers on a shared tablet; ``writes``: not only to be read."""

    def mark(marked: View) -> View:
        marked.on_tablets = "writes" if writes else "reads"
        return marked

    return mark if view is None else mark(view)


class StillHere(BaseBackend):
    """Gives a session its person, as long as the account is there."""

    def get_user(self, user_id: int) -> Person | None:
        """The person, or None if the account has ended."""
        return Person.objects.filter(pk=user_id, is_active=True).first()


class Signing:
    """Puts ``tablet``, ``person`` and ``actor`` (None: a stranger) on every request, and keeps strangers out."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Find out who asks; what a person has seen is not left behind on the machine."""
        token = request.COOKIES.get(TABLET_COOKIE, "")
        request.tablet = tablet_here(token) if token else None
        request.person = _person(request)
        request.actor = _actor(request)
        response = self.get_response(request)
        if request.person is not None:
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    def process_view(self, request: HttpRequest, view: View, args: Any, kwargs: Any) -> HttpResponse | None:
        """Let through, ask to sign in, or refuse."""
        if getattr(view, "for_anyone", False):
            return None
        if request.actor is None:
            return _ask(request)
        tablets = getattr(view, "on_tablets", "")
        if request.actor.scope == "desk" or tablets == "writes" or (tablets and request.method in _READING):
            return None
        return faults.not_allowed(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """What an action does not allow is a page of its own."""
        return faults.not_allowed(request, str(error)) if isinstance(error, NotAllowed) else None


def enter(request: HttpRequest, person_id: int, tablet_id: int | None = None) -> None:
    """Begin a session of a person; ``tablet_id``: who has tapped in on that tablet, for the shift only."""
    row = Person.objects.get(pk=person_id)
    login(request, row, backend="smallhours.web.signing.StillHere")
    request.session["stamp"] = row.stamp
    request.session["busy"] = now().timestamp()
    if tablet_id is not None:
        request.session["tablet"] = tablet_id


def onward(request: HttpRequest) -> str:
    """Where somebody wanted to go before being asked who they are: a page of ours, or the first one."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return wanted if ours and wanted.startswith("/") else "/"


def address(request: HttpRequest) -> str:
    """The network address that asks; no header is believed."""
    return str(request.META.get("REMOTE_ADDR", ""))


def from_this_machine(request: HttpRequest) -> bool:
    """Whether the question comes from the machine that has the store."""
    try:
        asking = ipaddress.ip_address(address(request))
    except ValueError:
        return False
    mapped = getattr(asking, "ipv4_mapped", None)
    return (mapped or asking).is_loopback


def _person(request: HttpRequest) -> Person | None:
    """Who is signed in. A session ends with the account, with a new secret or role, with its tablet, and when nobody
    has touched a shared tablet for a while."""
    if settings.SESSION_COOKIE_NAME not in request.COOKIES or not request.user.is_authenticated:
        return None
    session, tablet = request.session, request.tablet
    scope = session.get("tablet")
    idle_s = now().timestamp() - session.get("busy", 0)
    if (
        session.get("stamp") != request.user.stamp
        or (scope is not None and (tablet is None or tablet.id != scope))
        or (tablet is not None and idle_s > settings.TABLET_IDLE_S)
    ):
        logout(request)
        return None
    if tablet is not None and idle_s > settings.TABLET_IDLE_S / 20 and _by_hand(request):
        session["busy"] = now().timestamp()
    return request.user


def _actor(request: HttpRequest) -> Actor | None:
    if request.person is not None:
        on_tablet = request.session.get("tablet") is not None
        return Actor(request.person.name, request.person.role, "shift" if on_tablet else "desk")
    return BAKER if from_this_machine(request) and not people.any_person() else None


def _by_hand(request: HttpRequest) -> bool:
    """Whether somebody did something, as opposed to a page that brings itself up to date."""
    return request.method not in _READING or request.headers.get("Sec-Fetch-Mode", "navigate") == "navigate"


def _ask(request: HttpRequest) -> HttpResponse:
    if not people.any_person():
        return faults.not_allowed(request)
    where = reverse("tablet" if request.tablet else "sign-in")
    if request.headers.get("HX-Request"):  # a part of a page: the whole page has to go
        return HttpResponse(status=401, headers={"HX-Redirect": where})
    if not _by_hand(request):
        return HttpResponse(status=401)
    wanted = request.get_full_path() if request.method in _READING else "/"
    return redirect(f"{where}?{urlencode({'next': wanted})}" if wanted != "/" else where)
