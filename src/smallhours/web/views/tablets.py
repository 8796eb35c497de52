"""A shared tablet: paired once with a code, then a tap on one's name and a PIN."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.debug import sensitive_post_parameters

from smallhours.actions.people.tablets import PairTablet, pair_tablet
from smallhours.actions.people.tap_in import TapIn, tap_in, who_can_tap
from smallhours.errors import NotLetIn, TooSoon
from smallhours.web.signing import TABLET_COOKIE, address, anyone, enter, onward
from smallhours.web.views.sign_in import answer, wait_sentence

YEAR_S = 365 * 86400


@anyone
@sensitive_post_parameters("code")
def pair(request: HttpRequest) -> HttpResponse:
    """Type the code, or come with it scanned; only sending the form uses it up."""
    code, fault, wait_s = request.POST.get("code") or request.GET.get("code", ""), "", 0
    if request.method == "POST":
        try:
            paired = pair_tablet(PairTablet(code, address(request)))
        except TooSoon as error:
            wait_s, fault = error.wait_s, wait_sentence(request, error)
        except NotLetIn:
            fault = request.speech.say("tablet.wrong-code")
        else:
            logout(request)
            response = redirect("tablet")
            secure = settings.SESSION_COOKIE_SECURE
            response.set_cookie(
                TABLET_COOKIE, paired.token, max_age=YEAR_S, httponly=True, samesite="Lax", secure=secure
            )
            return response
    return answer(request, "people/pair.html", {"code": code[:40], "fault": fault}, fault, wait_s)


@anyone
def names(request: HttpRequest) -> HttpResponse:
    """The names to tap."""
    if request.tablet is None:
        return redirect("tablet-pair")
    wanted = onward(request)
    query = f"?{urlencode({'next': wanted})}" if wanted != "/" else ""
    return render(request, "people/names.html", {"people": who_can_tap(), "query": query})


@anyone
@sensitive_post_parameters("pin")
def pin(request: HttpRequest, person: int) -> HttpResponse:
    """The PIN of the name that was tapped."""
    if request.tablet is None:
        return redirect("tablet-pair")
    who = next((one for one in who_can_tap() if one.id == person), None)
    if who is None:
        raise Http404
    fault, wait_s = "", 0
    if request.method == "POST":
        try:
            tap_in(TapIn(person, request.tablet, request.POST.get("pin", "")))
        except TooSoon as error:
            wait_s, fault = error.wait_s, wait_sentence(request, error)
        except NotLetIn:
            fault = request.speech.say("tablet.wrong-pin")
        else:
            enter(request, person, request.tablet.id)
            return redirect(onward(request))
    return answer(request, "people/pin.html", {"who": who, "fault": fault, "next": onward(request)}, fault, wait_s)
