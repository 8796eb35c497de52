"""Signing in and out at the desk, and one's own account."""

from __future__ import annotations

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from smallhours.actions.people.set_secret import SetPassword, SetPin, set_password, set_pin
from smallhours.actions.people.sign_in import SignIn, sign_in
from smallhours.errors import NotGoodEnough, NotLetIn, TooSoon
from smallhours.records import people
from smallhours.web.signing import address, anyone, enter, onward


@anyone
@sensitive_post_parameters("password")
def desk(request: HttpRequest) -> HttpResponse:
    """Name and password. Whatever is wrong, the sentence is the same; the name stays in its field."""
    if not people.any_person():
        return redirect("/")
    name, fault, wait_s = request.POST.get("name", ""), "", 0
    if request.method == "POST":
        try:
            person = sign_in(SignIn(name, request.POST.get("password", ""), address(request)))
        except TooSoon as error:
            wait_s, fault = error.wait_s, wait_sentence(request, error)
        except NotLetIn:
            fault = request.speech.say("sign-in.wrong")
        else:
            enter(request, person.id)
            return redirect(onward(request))
    context = {"name": name[:200], "fault": fault, "next": onward(request)}
    return answer(request, "people/sign_in.html", context, fault, wait_s)


@anyone
@require_POST
def out(request: HttpRequest) -> HttpResponse:
    """End the session here."""
    tablet = request.tablet
    logout(request)
    return redirect("tablet" if tablet else "sign-in")


@sensitive_post_parameters("former", "password", "again", "pin")
def me(request: HttpRequest) -> HttpResponse:
    """One's own password and PIN, each proven with the password that counts now."""
    if request.person is None:
        return redirect("/")
    done, fault, what = request.GET.get("done", ""), "", request.POST.get("what", "")
    if request.method == "POST":
        try:
            _change(request, what)
        except TooSoon as error:
            fault = wait_sentence(request, error)
        except NotLetIn:
            fault = request.speech.say("me.wrong")
        except NotGoodEnough as error:
            fault = refusal(request, error)
        else:
            enter(request, request.person.pk)
            return redirect(f"/me/?done={what}")
    context = {"fault": fault, "what": what, "done": done if done in ("password", "pin", "no-pin") else ""}
    return answer(request, "people/me.html", context, fault)


def _change(request: HttpRequest, what: str) -> None:
    """Do what the form asks for. Raises NotGoodEnough, NotLetIn, TooSoon."""
    posted, name = request.POST, request.person.name
    if what == "password":
        if posted.get("password") != posted.get("again"):
            raise NotGoodEnough(["two_passwords"], "the two new passwords differ")
        set_password(SetPassword(name, posted.get("password", ""), posted.get("former", "")), request.actor)
    elif what in ("pin", "no-pin"):
        pin = posted.get("pin", "").strip() if what == "pin" else ""
        if what == "pin" and not pin:
            raise NotGoodEnough(["pin_digits"], "the PIN must not be empty")
        set_pin(SetPin(name, pin, posted.get("former", "")), request.actor)
    else:
        raise NotGoodEnough(["unsaid"], "the form does not say what to change")


def wait_sentence(request: HttpRequest, error: TooSoon) -> str:
    """How long to wait."""
    return request.speech.say("sign-in.wait", wait=request.speech.duration(error.wait_s))


def refusal(request: HttpRequest, error: NotGoodEnough) -> str:
    """Every rule that was broken, in the page's language."""
    return " ".join(request.speech.say(f"refused.{rule}") for rule in error.rules)


def answer(
    request: HttpRequest, template: str, context: dict[str, object], fault: str, wait_s: int = 0, status: int = 422
) -> HttpResponse:
    """A page with its form: 200, or with the sentence what is wrong and the status that says so."""
    response = render(request, template, context, status=429 if wait_s else status if fault else 200)
    if wait_s:
        response.headers["Retry-After"] = str(wait_s)
    return response
