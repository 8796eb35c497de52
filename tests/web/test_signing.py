"""Who gets a page: strangers none, people by role, shared tablets only the shift's."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from smallhours.actions.people.change_person import ChangeRole, RemovePerson, change_role, remove_person
from smallhours.actions.people.set_secret import SetPassword, SetPin, set_password, set_pin
from smallhours.actions.people.tablets import RevokeTablet, list_tablets, revoke_tablet
from smallhours.records import people
from web.doors import HOST, PASSWORD, addresses, paired, signed_in, stranger, tapped_in

FOR_ANYONE = {"/sign-in/", "/sign-out/", "/pair/", "/tablet/", "/tablet/1/", "/certificate/", "/ribbons.css"}


def test_without_an_account_this_machine_is_its_owner(home: Path) -> None:
    """Behaviour: nobody has to sign in on loopback until the first account is made; the sign-in page leads on."""
    assert stranger().get("/formulas/").status_code == 200
    assert stranger().get("/people/").status_code == 200
    assert stranger().get("/sign-in/").headers["Location"] == "/"
    assert "smallhours-session" not in stranger().get("/formulas/").cookies


@pytest.mark.parametrize("address", ["192.168.1.9", "10.0.0.7", "::ffff:192.168.1.9", "fe80::1", "", "nonsense"])
def test_without_an_account_no_other_machine_gets_a_page(home: Path, address: str) -> None:
    """Bad input: a question from the network is refused while nobody has an account, whatever headers say."""
    from django.test import Client

    browser = Client(headers={"host": HOST, "x-forwarded-for": "127.0.0.1"}, REMOTE_ADDR=address)
    assert browser.get("/formulas/").status_code == 403
    assert browser.post("/people/", {"what": "add"}).status_code == 403


@pytest.mark.parametrize("address", ["127.0.0.1", "::1", "::ffff:127.0.0.1"])
def test_loopback_has_three_spellings(home: Path, address: str) -> None:
    """Limit: IPv4, IPv6, and IPv4 inside IPv6."""
    assert stranger(REMOTE_ADDR=address).get("/formulas/").status_code == 200


def test_every_page_asks_a_stranger_to_sign_in(staff: Path) -> None:
    """Behaviour: every address of the pages, found in the table of addresses itself, sends a stranger to the sign-in
    page or answers 401, reading and writing; the few that do not are named here."""
    every = addresses()
    assert len(every) > 20
    assert {address for address, view in every.items() if getattr(view, "for_anyone", False)} >= FOR_ANYONE
    for address, view in every.items():
        if getattr(view, "for_anyone", False):
            continue
        for answer in (stranger().get(address), stranger().post(address, {"x": "y"})):
            assert answer.status_code in (302, 401), address
            assert answer.headers.get("Location", "/sign-in/").startswith("/sign-in/"), address


def test_only_known_pages_answer_strangers(staff: Path) -> None:
    """Behaviour: what is open to anyone is a page of this list or an interface with tokens of its own under /api/."""
    opened = {address for address, view in addresses().items() if getattr(view, "for_anyone", False)}
    assert {address for address in opened - FOR_ANYONE if not address.startswith("/api/")} == set()


def test_signing_in_leads_where_one_wanted_to_go(staff: Path) -> None:
    """Behaviour: the page that was asked for, but never one elsewhere."""
    wanted = stranger().get("/orders/?date=2026-01-15").headers["Location"]
    assert wanted == "/sign-in/?next=%2Forders%2F%3Fdate%3D2026-01-15"
    login = {"name": "Ana", "password": PASSWORD.format("ana")}
    assert stranger().post("/sign-in/", {**login, "next": "/orders/"}).headers["Location"] == "/orders/"
    for elsewhere in ("https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "\\\\x", "orders"):
        assert stranger().post("/sign-in/", {**login, "next": elsewhere}).headers["Location"] == "/"


def test_a_wrong_password_is_one_sentence_and_keeps_the_name(staff: Path) -> None:
    """Bad input: 422 with the same page for a name that is there and one that is not; the name is kept, escaped; after
    too many tries 429 and how long to wait."""
    texts = []
    for name in ("Ana", "Zoe"):
        answer = stranger().post("/sign-in/", {"name": name, "password": "wrong"})
        assert answer.status_code == 422
        texts.append(answer.content.decode().replace(name, "NAME"))
    token = r'name="csrfmiddlewaretoken" value="\w+"'
    import re

    assert re.sub(token, "", texts[0]) == re.sub(token, "", texts[1])
    assert "do not belong together" in texts[0]
    assert "&lt;b&gt;" in stranger().post("/sign-in/", {"name": "<b>", "password": "x"}).content.decode()
    for _ in range(4):
        stranger().post("/sign-in/", {"name": "Ana", "password": "wrong"})
    answer = stranger().post("/sign-in/?lang=es", {"name": "Ana", "password": PASSWORD.format("ana")})
    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "5")
    assert "Demasiados intentos fallidos. Espera 5" in answer.content.decode()


@pytest.mark.parametrize(
    ("name", "pages"),
    [("Ana", {"/people/": 200, "/tablets/": 200, "/log/": 200, "/backup/": 200, "/formulas/": 200}),
     ("Bo", {"/people/": 403, "/tablets/": 403, "/log/": 403, "/formulas/": 200, "/orders/": 200, "/me/": 200}),
     ("Cleo", {"/people/": 403, "/tablets/": 403, "/log/": 403, "/orders/": 200, "/kitchen/": 200}),
     ("Rita", {"/people/": 403, "/tablets/": 403, "/log/": 403, "/formulas/": 200, "/kitchen/": 200})],
)  # fmt: skip
def test_each_role_gets_its_pages(staff: Path, name: str, pages: dict[str, int]) -> None:
    """Behaviour: the house is the head baker's, the rest is for all to read; nobody but her takes a backup."""
    browser = signed_in(name)
    assert {page: browser.get(page).status_code for page in pages} == pages
    assert browser.post("/backup/").status_code == (200 if name == "Ana" else 403)
    assert ('href="/people/"' in browser.get("/formulas/").content.decode()) == (name == "Ana")


def test_what_people_see_is_not_left_in_the_browser(staff: Path) -> None:
    """Behaviour: pages of somebody signed in are not stored; after signing out they are gone; out is a POST."""
    browser = signed_in("Ana")
    assert browser.get("/people/").headers["Cache-Control"] == "no-store"
    assert browser.get("/sign-out/").status_code == 405
    assert browser.post("/sign-out/").headers["Location"] == "/sign-in/"
    assert browser.get("/people/").status_code == 302


@pytest.mark.parametrize(
    "change",
    [lambda: set_password(SetPassword("Bo", "another fine sentence")), lambda: set_pin(SetPin("Bo", "4711")),
     lambda: change_role(ChangeRole("Bo", "reader")), lambda: remove_person(RemovePerson("Bo"))],
)  # fmt: skip
def test_a_session_ends_with_what_it_rested_on(staff: Path, change) -> None:  # type: ignore[no-untyped-def]
    """Behaviour: a new password, PIN or role, or the end of the account, ends every session of the person at once."""
    browser = signed_in("Bo")
    assert browser.get("/formulas/").status_code == 200
    change()
    assert browser.get("/formulas/").status_code == 302


def test_a_session_is_new_when_somebody_signs_in(staff: Path) -> None:
    """Behaviour: a session key planted before is not the one that is signed in; it lasts twelve hours."""
    browser = stranger()
    browser.cookies["smallhours-session"] = "planted"
    browser.post("/sign-in/", {"name": "Ana", "password": PASSWORD.format("ana")})
    cookie = browser.cookies["smallhours-session"]
    assert cookie.value != "planted"
    assert (cookie["max-age"], cookie["httponly"], cookie["samesite"]) == (12 * 3600, True, "Lax")


def test_forms_need_their_token(staff: Path) -> None:
    """Bad input: signing in, pairing, changing people without the form's token is refused with a page that says why."""
    from django.test import Client

    browser = Client(headers={"host": HOST}, enforce_csrf_checks=True)
    for path in ("/sign-in/", "/pair/", "/sign-out/", "/tablet/1/"):
        answer = browser.post(path, {"name": "Ana", "password": PASSWORD.format("ana")})
        assert answer.status_code == 403, path
        assert "no longer good" in answer.content.decode()
    browser.cookies = signed_in("Ana").cookies
    assert browser.post("/people/", {"what": "remove", "name": "Bo"}).status_code == 403
    assert people.person_named("Bo").active  # type: ignore[union-attr]


def test_parts_of_a_page_send_the_whole_page_to_the_door(staff: Path) -> None:
    """Behaviour: a part that asks for itself gets 401 and where to go, not a sign-in form in the middle of the page."""
    answer = stranger().get("/formulas/", headers={"HX-Request": "true"})
    assert (answer.status_code, answer.headers["HX-Redirect"]) == (401, "/sign-in/")
    assert stranger().get("/formulas/", headers={"Sec-Fetch-Mode": "cors"}).status_code == 401


def test_a_tablet_shows_names_and_wants_a_pin(staff: Path) -> None:
    """Behaviour: unpaired no names are shown; paired those with a PIN; a wrong PIN gets 422, a right one in."""
    bo = set_pin(SetPin("Bo", "4711"))
    for path in ("/tablet/", f"/tablet/{bo.id}/"):
        assert stranger().get(path).headers["Location"] == "/pair/"
    tablet = paired()
    page = tablet.get("/tablet/").content.decode()
    assert ">Bo<" in page
    assert ">Ana<" not in page
    assert tablet.get("/formulas/").headers["Location"] == "/tablet/?next=%2Fformulas%2F"
    assert tablet.get(f"/tablet/{people.person_named('Ana').id}/").status_code == 404  # type: ignore[union-attr]
    assert tablet.post(f"/tablet/{bo.id}/", {"pin": "0007"}).status_code == 422
    assert tablet.post(f"/tablet/{bo.id}/", {"pin": "4711"}).status_code == 302


def test_a_wrong_code_pairs_nothing(staff: Path) -> None:
    """Bad input: 422, the code kept in its field, no cookie."""
    browser = stranger()
    answer = browser.post("/pair/", {"code": "AAAA-AAA2"})
    assert answer.status_code == 422
    assert 'value="AAAA-AAA2"' in answer.content.decode()
    assert "smallhours-tablet" not in answer.cookies
    assert browser.get("/pair/?code=BBBB-BBB2").content.decode().count('value="BBBB-BBB2"') == 1


def test_a_pin_opens_only_the_shift(staff: Path) -> None:
    """Behaviour: even a head baker's PIN opens no page but those marked for tablets, and nothing is written where a
    page is only to be read."""
    tablet = tapped_in("Ana")
    opened = {"reads": set(), "writes": set()}
    for address, view in addresses().items():
        mark = getattr(view, "on_tablets", "")
        if mark:
            opened[mark].add(address)
        elif not getattr(view, "for_anyone", False):
            assert tablet.get(address).status_code == 403, address
            assert tablet.post(address, {"x": "y"}).status_code == 403, address
    assert "/plan/2026-01-15/people/" in opened["reads"]
    for address in opened["reads"]:
        assert tablet.get(address).status_code in (200, 302, 404), address
        assert tablet.post(address, {"x": "y"}).status_code == 403, address
    for section in ("/formulas/", "/orders/", "/kitchen/", "/people/", "/log/", "/backup/", "/me/"):
        assert tablet.get(section).status_code == 403


def test_a_tablets_session_is_worth_nothing_elsewhere(staff: Path) -> None:
    """Behaviour: without the tablet's own cookie, with another tablet's, or after the tablet has ended, the session
    that a PIN began is over."""
    for spoil in ("taken away", "another", "ended"):
        tablet = tapped_in("Bo")
        assert tablet.get("/plan/2026-01-15/people/").status_code == 404
        if spoil == "taken away":
            del tablet.cookies["smallhours-tablet"]
        elif spoil == "another":
            tablet.cookies["smallhours-tablet"] = paired("Another").cookies["smallhours-tablet"].value
        else:
            for one in list_tablets():
                revoke_tablet(RevokeTablet(one.id))
        assert tablet.get("/plan/2026-01-15/people/").status_code == 302, spoil


def test_a_shared_tablet_asks_again_after_ten_minutes(staff: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Limit: 9:59 after the last touch the session is there, 10:01 after it is not. A page that brings itself up to
    date is no touch. Who signed in there with the password is treated alike."""
    from smallhours.web import signing

    start = dt.datetime.now(dt.UTC)
    set_pin(SetPin("Ana", "2580"))
    by_password = paired()
    by_password.post("/sign-in/", {"name": "Ana", "password": PASSWORD.format("ana")})
    for browser, page, there in ((tapped_in("Bo"), "/plan/2026-01-15/people/", 404), (by_password, "/formulas/", 200)):
        at_s = 0.0

        def ask(after_s: float, mode: str, browser=browser, page=page) -> int:  # type: ignore[no-untyped-def]
            nonlocal at_s
            at_s += after_s
            monkeypatch.setattr(signing, "now", lambda: start + dt.timedelta(seconds=at_s))
            return int(browser.get(page, headers={"Sec-Fetch-Mode": mode}).status_code)

        assert ask(595, "navigate") == there
        assert ask(595, "cors") == there
        assert ask(10, "cors") == 401
        assert ask(0, "navigate") == 302


def test_policies_on_every_answer(staff: Path) -> None:
    """Behaviour: nothing inline and nothing from elsewhere, on pages, refusals and files; no frame; no sniffing."""
    for browser, path in ((stranger(), "/sign-in/"), (signed_in("Bo"), "/people/"), (stranger(), "/no/such/page/")):
        headers = browser.get(path).headers
        assert "script-src 'self'; style-src 'self';" in headers["Content-Security-Policy"]
        assert "unsafe" not in headers["Content-Security-Policy"]
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"
        assert "Strict-Transport-Security" not in headers
