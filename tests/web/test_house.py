"""The head baker's pages: people, tablets, log, backup; and one's own account."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

import pytest

from smallhours.actions.people.sign_in import SignIn, sign_in
from smallhours.records import people, queries
from web.doors import signed_in, stranger


def test_the_first_account_is_made_at_a_page(home: Path, quick_hashes: None) -> None:
    """Behaviour: on a fresh store the owner adds herself at the page, and is asked to sign in from then on."""
    answer = stranger().post(
        "/people/", {"what": "add", "name": "Ana", "role": "head-baker", "password": "ana likes warm bread"}
    )
    assert answer.headers["Location"] == "/people/"
    assert stranger().get("/people/").headers["Location"].startswith("/sign-in/")
    assert signed_in("Ana").get("/people/").status_code == 200


def test_people_are_managed_at_a_page(staff: Path) -> None:
    """Behaviour: add, role, password, remove; each in the log under the name of who did it."""
    ana = signed_in("Ana")
    for form in (
        {"what": "add", "name": "Dov", "role": "baker", "password": "dov likes warm bread"},
        {"what": "role", "name": "Dov", "role": "office"},
        {"what": "password", "name": "Dov", "password": "another fine sentence"},
        {"what": "remove", "name": "Dov"},
    ):
        assert ana.post("/people/", form).status_code == 302, form
    lines = [(line.author, line.verb, line.slug) for line in queries.log_lines(4)]
    assert lines == [("Ana", verb, "Dov") for verb in ("remove", "set password", "change role", "add")]


@pytest.mark.parametrize(
    ("form", "english", "spanish"),
    [
        ({"what": "add", "name": "bo", "role": "baker", "password": "a fine long sentence"},
         "There already is somebody of this name.", "Ya hay alguien con este nombre."),
        ({"what": "add", "name": "Dov", "role": "baker", "password": "2short"},
         "at least 10 characters", "al menos 10 caracteres"),
        ({"what": "add", "name": "", "role": "baker", "password": "a fine long sentence"},
         "must not be empty", "no puede quedar vacío"),
        ({"what": "add", "name": "Dov", "role": "king", "password": "a fine long sentence"},
         "Nothing was changed", "No se ha cambiado nada"),
        ({"what": "remove", "name": "Ana"}, "This is the last head baker", "Es el último jefe de obrador"),
        ({"what": "remove", "name": "Nobody"}, "Nothing was changed", "No se ha cambiado nada"),
        ({}, "Nothing was changed", "No se ha cambiado nada"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_in_the_pages_language(
    staff: Path, form: dict[str, str], english: str, spanish: str
) -> None:
    """Bad input: 422, a sentence in either language, what was typed is kept (never the password), nothing else."""
    ana, before = signed_in("Ana"), people.people()
    for lang, sentence in (("en", english), ("es", spanish)):
        answer = ana.post(f"/people/?lang={lang}", form)
        text = answer.content.decode()
        assert answer.status_code == 422
        assert sentence in text
        if form.get("what") == "add":
            assert f'value="{form["name"]}"' in text
            assert form["password"] not in text
    assert [person.name for person in people.people()] == [person.name for person in before]


def test_ones_own_password_and_pin(staff: Path) -> None:
    """Behaviour: changed with the former password; this browser stays signed in, others do not."""
    bo, other = signed_in("Bo"), signed_in("Bo")
    form = {
        "what": "password",
        "former": "bo likes warm bread",
        "password": "bo bakes at night",
        "again": "bo bakes at night",
    }
    for wrong in ({"former": "wrong"}, {"again": "something else"}, {"password": "short", "again": "short"}):
        assert bo.post("/me/", {**form, **wrong}).status_code == 422
    assert bo.post("/me/", form).headers["Location"] == "/me/?done=password"
    assert bo.get("/me/?done=password").status_code == 200
    assert other.get("/me/").status_code == 302
    assert bo.post("/me/", {"what": "pin", "former": "bo bakes at night", "pin": "1234"}).status_code == 422
    assert bo.post("/me/", {"what": "pin", "former": "bo bakes at night", "pin": ""}).status_code == 422
    assert bo.post("/me/", {"what": "pin", "former": "bo bakes at night", "pin": "4711"}).status_code == 302
    assert sign_in(SignIn("Bo", "bo bakes at night")).has_pin
    assert bo.post("/me/", {"what": "no-pin", "former": "bo bakes at night"}).status_code == 302
    assert not sign_in(SignIn("Bo", "bo bakes at night")).has_pin


def test_a_tablets_code_is_shown_once_with_a_picture(staff: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: text and picture name the address that tablets reach; on loopback alone a sentence says that none can;
    asked for again, the page has no code. A script in the name stays text."""
    from django.conf import settings

    ana = signed_in("Ana")
    alone = ana.post("/tablets/", {"name": "<script>1</script>"}).content.decode()
    assert "&lt;script&gt;1" in alone
    assert "served to this machine only" in alone
    assert "<svg" not in alone
    monkeypatch.setattr(settings, "LAN_ADDRESS", "https://192.168.1.20:8350/")
    text = ana.post("/tablets/", {"name": "By the oven"}).content.decode()
    (code,) = re.findall(r'class="key">([A-Z2-9]{4}-[A-Z2-9]{4})<', text)
    assert "https://192.168.1.20:8350/pair/" in text
    assert "<svg" in text
    assert code not in ana.get("/tablets/").content.decode()
    tablet = stranger()
    tablet.post("/pair/", {"code": code})
    number = next(one.id for one in people.tablets() if one.name == "By the oven")
    assert ana.post("/tablets/", {"what": "revoke", "tablet": str(number)}).status_code == 302
    assert tablet.get("/tablet/").headers["Location"] == "/pair/"
    for nonsense in ("999", "x", "", str(number)):
        assert ana.post("/tablets/", {"what": "revoke", "tablet": nonsense}).status_code == 302
    assert ana.post("/tablets/", {"name": " "}).status_code == 422


def test_the_log_page_says_who_when_why(bakery: Path, quick_hashes: None) -> None:
    """Behaviour: newest first, filtered by who and what, page by page; a page that is not there is the nearest."""
    from smallhours.actions.people.add_person import AddPerson, add_person
    from smallhours.records import keeping

    ana_ = add_person(AddPerson("Ana", "head-baker", "ana likes warm bread"))
    for number in range(120):
        at = ana_.added_at
        keeping.write_log(
            keeping.Done("save", "formula", "hearth-loaf", number, number + 1),
            keeping.Signature("Ana", at, f"reason <{number}>"),
        )
    ana = signed_in("Ana")
    first = ana.get("/log/?author=Ana&kind=formula").content.decode()
    assert "reason &lt;119&gt;" in first
    assert "reason &lt;69&gt;" not in first
    assert 'href="/formulas/hearth-loaf/?revision=120"' in first
    assert 'href="?author=Ana&amp;kind=formula&amp;page=2"' in first
    last = ana.get("/log/?author=Ana&kind=formula&page=3").content.decode()
    assert "reason &lt;0&gt;" in last
    assert "page=4" not in last
    for odd in ("99", "0", "-1", "x", "9" * 30, ""):
        assert ana.get(f"/log/?page={odd}").status_code == 200
    assert "Nothing is written down" in ana.get("/log/?author=Nobody").content.decode()


def test_the_button_gives_a_whole_backup(staff: Path, tmp_path: Path) -> None:
    """Round trip: what the browser gets can be restored; the log says who took it. Under the server that the program
    runs it comes piece by piece, and is the same."""
    from smallhours.actions.back_up import Restore, restore

    answer = signed_in("Ana").post("/backup/")
    assert re.search(r'filename="smallhours-\d{4}-\d\d-\d\d-\d{4}\.zip"', answer.headers["Content-Disposition"])
    data = b"".join(answer.streaming_content)
    assert zipfile.ZipFile(io.BytesIO(data)).testzip() is None
    line = queries.log_lines(1)[0]
    assert (line.author, line.verb, line.kind) == ("Ana", "back up", "store")
    (tmp_path / "b.zip").write_bytes(data)
    restore(Restore(tmp_path / "b.zip", tmp_path / "elsewhere"))
    assert [person.name for person in people.people()] == ["Ana", "Bo", "Cleo", "Rita"]


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("path", ["/people/", "/tablets/", "/log/", "/backup/", "/me/"])
def test_the_pages_hold_to_the_policy(staff: Path, path: str, lang: str) -> None:
    """Behaviour: in both languages: one h1, nothing inline, every field has a label, every form its token."""
    text = signed_in("Ana").get(f"{path}?lang={lang}").content.decode()
    assert f'<html lang="{lang}">' in text
    assert text.count("<h1") == 1
    assert not re.search(r"<style|<script(?![^>]*\ssrc=)|\sstyle=|\son\w+=", text)
    fields = re.findall(r'<(?:input|select)(?![^>]*type="hidden")[^>]*\sid="([^"]+)"', text)
    assert all(f'for="{field}"' in text for field in fields)
    assert len(re.findall(r'<form[^>]*method="post"', text)) == text.count('name="csrfmiddlewaretoken"')
