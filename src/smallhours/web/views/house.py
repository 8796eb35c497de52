"""The head baker's own pages: people, tablets, the log, a copy of everything."""

from __future__ import annotations

import io
import tempfile
from contextlib import suppress

import segno
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.safestring import mark_safe
from django.views.decorators.debug import sensitive_post_parameters

from smallhours.actions.back_up import ENDING, back_up_to
from smallhours.actions.people.add_person import AddPerson, add_person
from smallhours.actions.people.change_person import ChangeRole, RemovePerson, change_role, remove_person
from smallhours.actions.people.find_person import list_people
from smallhours.actions.people.set_secret import SetPassword, set_password
from smallhours.actions.people.tablets import AddTablet, Code, RevokeTablet, add_tablet, list_tablets, revoke_tablet
from smallhours.actions.permissions import ROLES
from smallhours.actions.read_log import ReadLog, read_log
from smallhours.errors import BadInput, NotFound, NotGoodEnough
from smallhours.web.file_answer import file_answer
from smallhours.web.signing import from_this_machine
from smallhours.web.views.sign_in import answer, refusal
from smallhours.web.zone import kitchen_zone


@sensitive_post_parameters("password")
def people(request: HttpRequest) -> HttpResponse:
    """Who has an account, as what; add somebody, change a role or a password, take an account away."""
    fault, posted = "", request.POST
    if request.method == "POST":
        try:
            _manage(request)
        except NotGoodEnough as error:
            fault = refusal(request, error)
        except (BadInput, NotFound):  # not from the page's own forms, or the person is gone meanwhile
            fault = request.speech.say("refused.unsaid")
        else:
            return redirect("house-people")
    found = list_people(request.actor)
    context = {
        "people": found,
        "roles": ROLES,
        "fault": fault,
        "what": posted.get("what", ""),
        "name": posted.get("name", ""),
        "role": posted.get("role") or ("baker" if found else "head-baker"),
        "zone": kitchen_zone(),
    }
    return answer(request, "people/people.html", context, fault)


def _manage(request: HttpRequest) -> None:
    """Do what a form of the page asks for. Raises BadInput, NotFound, NotAllowed."""
    posted = request.POST
    name, role, password = (posted.get(field, "") for field in ("name", "role", "password"))
    match posted.get("what"):
        case "add":
            add_person(AddPerson(name, role, password), request.actor)
        case "role":
            change_role(ChangeRole(name, role), request.actor)
        case "password":
            set_password(SetPassword(name, password), request.actor)
        case "remove":
            remove_person(RemovePerson(name), request.actor)
        case other:
            raise BadInput(f"there is nothing called {other!r} to do here")


def tablets(request: HttpRequest) -> HttpResponse:
    """The paired tablets with when they were seen last; a new one gets its code, shown this once."""
    fault, code = "", None
    if request.method == "POST" and request.POST.get("what") == "revoke":
        number = request.POST.get("tablet", "")
        with suppress(NotFound):  # it has been ended already
            revoke_tablet(RevokeTablet(int(number) if number.isascii() and number.isdigit() else 0), request.actor)
        return redirect("house-tablets")
    if request.method == "POST":
        try:
            code = add_tablet(AddTablet(request.POST.get("name", "")), request.actor)
        except NotGoodEnough as error:
            fault = refusal(request, error)
    context = {
        "tablets": [tablet for tablet in list_tablets(request.actor) if code is None or tablet != code.tablet],
        "fault": fault,
        "zone": kitchen_zone(),
        **(_shown_once(request, code) if code else {}),
    }
    return answer(request, "people/tablets.html", context, fault)


def _shown_once(request: HttpRequest, code: Code) -> dict[str, object]:
    """A code as text and as a picture of the address that a tablet's camera opens."""
    at_home = from_this_machine(request)
    base = settings.LAN_ADDRESS if at_home and settings.LAN_ADDRESS else request.build_absolute_uri("/")
    page = base.rstrip("/") + reverse("tablet-pair")
    drawing = io.BytesIO()
    segno.make(f"{page}?code={code.readable}", error="m", micro=False).save(
        drawing, kind="svg", scale=6, border=2, dark="#000", light="#fff", xmldecl=False, svgns=True, omitsize=True
    )
    return {
        "code": code,
        "page": page,
        "picture": mark_safe(drawing.getvalue().decode()),  # made of squares; no text of anybody's is in it
        "only_here": at_home and not settings.LAN_ADDRESS,
    }


def log(request: HttpRequest) -> HttpResponse:
    """Who did what, when, to what, and why; newest first."""
    author, kind = (request.GET.get(key, "").strip()[:60] for key in ("author", "kind"))
    number = request.GET.get("page", "")
    asked = ReadLog(author, kind, int(number) if number.isascii() and number.isdigit() and len(number) < 9 else 1)
    page, zone = read_log(asked, request.actor), kitchen_zone()
    here = {"author": author, "kind": kind}
    turns = {
        which: f"?{urlencode({**here, 'page': to})}"
        for which, to in (("newer", page.page - 1), ("older", page.page + 1))
        if 1 <= to <= page.pages
    }
    return render(request, "people/log.html", {"page": page, "zone": zone, "asked": here, "turns": turns})


def backup(request: HttpRequest) -> HttpResponse:
    """What a backup holds, and the button: the whole store as one file, straight to the browser."""
    if request.method != "POST":
        return render(request, "people/backup.html", {"restore_command": settings.RESTORE_COMMAND})
    out = tempfile.TemporaryFile()  # noqa: SIM115  (closed by the answer, when it has been sent)
    try:
        made = back_up_to(out, request.actor)
    except BaseException:
        out.close()
        raise
    size = out.tell()
    out.seek(0)
    name = f"smallhours-{made.made_at.astimezone(kitchen_zone()):%Y-%m-%d-%H%M}{ENDING}"
    return file_answer(request, out, name, size)
