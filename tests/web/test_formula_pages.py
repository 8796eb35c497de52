"""Pages of formulas: find, scale, write, save without losing anything, try, swap, compare, see to scale."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from smallhours.records import queries
from web.test_pages import Outline


class Desk:
    """A browser of sorts that keeps what a form holds."""

    def __init__(self, lang: str = "en") -> None:
        from django.test import Client

        self.client = Client(headers={"host": "127.0.0.1:8350", "accept-language": lang})

    def get(self, path: str) -> tuple[int, str]:
        response = self.client.get(path)
        return response.status_code, response.content.decode()

    def post(self, path: str, texts: dict[str, str]) -> tuple[int, str]:
        response = self.client.post(path, texts)
        return response.status_code, response.headers.get("Location") or response.content.decode()

    def form(self, path: str) -> dict[str, str]:
        """What the form of formulas on a page would send."""
        return form_of(self.get(path)[1])

    def draft(self, texts: dict[str, str]) -> dict[str, Any]:
        response = self.client.post("/formula-draft/", texts)
        assert response.status_code == 200
        return json.loads(response.content)


def form_of(page: str) -> dict[str, str]:
    """The fields of the form of formulas on a page, as a browser would send them."""
    inside = re.search(r'<form method="post" class="formula".*?</form>', page, re.S)
    assert inside is not None
    text, found = inside.group(), {}
    for tag in re.findall(r"<input[^>]*>", text):
        attrs = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if "name" in attrs and (attrs.get("type") != "checkbox" or " checked" in tag):
            found[unescape(attrs["name"])] = unescape(attrs.get("value", "on"))
    for name, options in re.findall(r'<select id="([^"]*)"[^>]*>(.*?)</select>', text, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', options) or re.search(
            r'<option value="([^"]*)"', options
        )
        found[name] = unescape(chosen[1]) if chosen else ""
    for name, area in re.findall(r'<textarea id="([^"]*)"[^>]*>(.*?)</textarea>', text, re.S):
        found[name] = unescape(area)
    return found


@pytest.fixture
def desk(bakery: Path) -> Desk:
    """A desk with the small bakery."""
    return Desk()


PAGES = (
    "/formulas/", "/formulas/?q=lean", "/formulas/hearth-loaf/edit/", "/formulas/hearth-roll/edit/", "/formula-new/",
    "/formula-new/?copy=hearth-loaf", "/formula-new/?base=hearth-loaf", "/formulas/hearth-loaf/try/",
    "/formulas/hearth-loaf/swap/", "/formulas/hearth-loaf/swap/?swap=instant-yeast-to-fresh",
    "/formulas/hearth-loaf/versions/",
)  # fmt: skip


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("path", PAGES)
def test_every_page_of_formulas_answers(bakery: Path, path: str, lang: str) -> None:
    """Behaviour: 200 in both languages, one h1, nothing inline, ids once, every field is named."""
    status, text = Desk(lang).get(path)
    assert status == 200
    outline = Outline(text)
    assert outline.all("html")[0]["lang"] == lang
    assert len(outline.all("h1")) == 1
    assert all(str(script.get("src", "")).startswith("/static/") for script in outline.all("script"))
    assert not outline.all("style")
    assert not [tag for tag, attrs in outline.tags if any(key == "style" or key.startswith("on") for key in attrs)]
    ids = [attrs["id"] for _, attrs in outline.tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    labelled = {attrs["for"] for attrs in outline.all("label")}
    fields = [a for tag in ("input", "select", "textarea") for a in outline.all(tag) if a.get("type") != "hidden"]
    assert [a for a in fields if a.get("id") not in labelled and "aria-label" not in a] == []
    assert {a["list"] for a in outline.all("input") if "list" in a} <= set(ids)


def test_the_list_is_searched(desk: Desk) -> None:
    """Behaviour: by name, class in the page's language, or ingredient; what is typed stays, also a script."""
    assert "Hearth roll" in desk.get("/formulas/?q=roll")[1]
    assert 'href="/formulas/hearth-loaf/"' not in desk.get("/formulas/?q=roll")[1]
    assert "2 formulas have lean" in desk.get("/formulas/?q=lean")[1]
    assert "Hearth loaf" in desk.get("/formulas/?q=yeast-instant")[1]
    status, text = desk.get("/formulas/?q=%3Cscript%3E%F0%9F%A5%96")
    assert status == 200
    assert "0 formulas have &lt;script&gt;🥖" in text
    assert "<script>🥖" not in text


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("by=pans&amount=3", "18 pieces in 3 pans"),
        ("by=dough&amount=12+kg", "12 pieces in 2 pans"),
        ("by=dough&amount=12,5 kg", "13 pieces"),
        ("by=flour&amount=11+lb", "5 kg"),
        ("by=hand&amount=3.25+kg&hand=water", "Show masses"),
    ],
)
def test_scaled_by_anything(desk: Desk, query: str, says: str) -> None:
    """Hand: 3 pans of 6; 12 kg x 0.99^2 / 900 g = 13.07 in 3 pans, of which the text says the pieces."""
    status, text = desk.get(f"/formulas/hearth-loaf/?{query}")
    assert status == 200
    if "dough" in query:
        says = "13 pieces in 3 pans"
    if "flour" not in query:
        assert says in text
    if "hand" in query or "flour" in query:
        grams = "3\u2009250" if "hand" in query else "4\u2009990"  # 11 lb are 4989.5 g
        assert grams in text


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("by=dough&amount=0+kg", "above 0 g"),
        ("by=dough&amount=lots", "Write a mass like 12 kg or 26 lb (found lots)"),
        ("by=dough&amount=9999999999+kg", "more than can be"),
        ("by=hand&amount=2+kg&hand=gold", "Say which ingredient"),
        ("by=hand&amount=2+kg&hand=cinnamon", "no 'cinnamon'"),
        ("by=pans&amount=0", "whole number from 1 to 999999"),
        ("by=pieces&amount=%E2%80%AE5", "whole number from 1 to 999999"),
        ("by=pieces&amount=%3Cb%3E", "(found &lt;b&gt;)"),
    ],
)
def test_a_bad_amount_is_said_beside_it(desk: Desk, query: str, says: str) -> None:
    """Bad input: 422, the page with its usual masses, one sentence, the value kept."""
    status, text = desk.get(f"/formulas/hearth-loaf/?{query}")
    assert status == 422
    assert says in unescape(text) or says in text
    field = next(a for a in Outline(text).all("input") if a.get("name") == "amount")
    assert field["aria-invalid"] == "true"
    assert field["value"]


def test_what_is_not_changed_makes_no_revision(desk: Desk) -> None:
    """Round trip: the form of a formula, saved as it comes, says nothing new; for a product on another's dough too."""
    for slug in ("hearth-loaf", "hearth-roll"):
        status, where = desk.post(f"/formulas/{slug}/edit/", desk.form(f"/formulas/{slug}/edit/") | {"do": "save"})
        assert (status, where) == (302, f"/formulas/{slug}/?same=1")
        assert queries.kept_formula(slug).number == 1


def test_a_change_makes_a_revision_with_its_reason(desk: Desk) -> None:
    """Behaviour: decimal comma, a new revision by whoever is at the desk, the reason in the history and on the page."""
    texts = desk.form("/formulas/hearth-loaf/edit/") | {
        "p0-l1-amount": "66,5",
        "reason": "  drier  flour ",
        "do": "save",
    }
    status, where = desk.post("/formulas/hearth-loaf/edit/", texts)
    assert status == 302
    kept = queries.kept_formula("hearth-loaf")
    assert (kept.number, kept.reason, kept.document.parts[0].lines[1].percent) == (2, "drier flour", 66.5)
    assert "Saved as revision 2" in desk.get(where)[1]
    assert "drier flour" in desk.get("/formulas/hearth-loaf/versions/")[1]


def test_masses_class_and_allergens_follow(desk: Desk) -> None:
    """Hand: 20 x 900 g / 0.99^2 over 172.8 %: 10 628 g of flour and 7 440 g of water; with a fifth of butter the lean
    dough is rich, and milk comes in as an allergen."""
    texts = desk.form("/formulas/hearth-loaf/edit/") | {"amount": "20", "amount-by": "pieces", "p0-l1-amount": "70"}
    answer = desk.draft(texts)
    assert answer["faults"] == {}
    assert answer["texts"]["p0-l0-mass"] == "10\u2009630\u00a0g"
    assert answer["texts"]["p0-l1-mass"] == "7\u2009440\u00a0g"
    assert answer["texts"]["p0-l1-total"] == "70.00"
    assert answer["texts"]["draft-for"] == "20 pieces in 4 pans"
    assert "<h2>lean</h2>" in answer["html"]["draft-held"]
    richer = desk.draft(texts | {"p0-l4-what": "Butter, unsalted", "p0-l4-amount": "25", "p0-l4-unit": "percent"})
    assert "<h2>rich</h2>" in richer["html"]["draft-held"]
    assert "milk" in richer["html"]["draft-held"]
    assert queries.kept_formula("hearth-loaf").number == 1


def test_a_draft_that_is_wrong_says_where(desk: Desk) -> None:
    """Bad input: the sentence under the field's name; what was right stays as it was."""
    texts = desk.form("/formulas/hearth-loaf/edit/")
    answer = desk.draft(texts | {"p0-l1-amount": "<b>", "s1-min": "3 h", "name": ""})
    assert set(answer["faults"]) == {"p0-l1-amount", "name"}
    assert answer["texts"] == answer["html"] == {}
    assert list(desk.draft(texts | {"s1-min": "3 h"})["faults"]) == ["s1-min"]
    assert desk.draft(texts | {"s1-min": "3 h"})["english"] == ["s1-min"]
    assert list(desk.draft(texts | {"amount": "0"})["faults"]) == ["amount"]


NASTY = [
    "<script>alert(1)</script>",
    "خبز \u0661\u0662",
    "🥖👩‍🍳",
    "0",
    "1,5",
    "9" * 300,
    "\u202e",
    "x\x00y",
    "' OR 1=1 --",
]


@pytest.mark.parametrize("typed", NASTY)
@pytest.mark.parametrize("field", ["name", "p0-l1-what", "p0-l1-amount", "s1-duration", "out-mass", "note", "amount"])
def test_nothing_typed_is_lost(desk: Desk, field: str, typed: str) -> None:
    """Bad input: whatever is typed anywhere, the form comes back as it was typed, escaped, never an error."""
    texts = desk.form("/formulas/hearth-loaf/edit/") | {field: typed, "do": "check"}
    status, page = desk.post("/formulas/hearth-loaf/edit/", texts)
    assert status == 200
    assert "<script>alert" not in page
    again = form_of(page)
    expected = {name: text for name, text in texts.items() if name != "do"}
    assert {
        name: text for name, text in again.items() if expected.get(name, "") != text and name != "csrfmiddlewaretoken"
    } == {}
    assert desk.draft(texts)["faults"].keys() <= {field, ""}


def test_a_save_that_cannot_be_keeps_everything(desk: Desk) -> None:
    """Bad input: 422, the sentence beside the field, the reason and all other fields as typed; nothing written."""
    texts = desk.form("/formulas/hearth-loaf/edit/") | {"p0-l1-amount": "wet", "reason": "because", "do": "save"}
    status, page = desk.post("/formulas/hearth-loaf/edit/", texts)
    assert status == 422
    assert form_of(page)["p0-l1-amount"] == "wet"
    assert form_of(page)["reason"] == "because"
    assert "Write a number like 68 or 68.5 (found wet)" in page
    assert queries.kept_formula("hearth-loaf").number == 1


def test_two_people_lose_nothing(desk: Desk) -> None:
    """Behaviour: the slower one sees both versions side by side, keeps what was typed, and saves after the other."""
    ana, bea = desk.form("/formulas/hearth-loaf/edit/"), desk.form("/formulas/hearth-loaf/edit/")
    assert desk.post("/formulas/hearth-loaf/edit/", ana | {"p0-l1-amount": "66", "do": "save"})[0] == 302
    status, page = desk.post("/formulas/hearth-loaf/edit/", bea | {"p0-l1-amount": "70", "reason": "wet", "do": "save"})
    assert status == 409
    assert "saved revision 2 while you were typing" in page
    assert "<del>66 %; tempered: yes</del>" in page
    assert "<ins>70 %; tempered: yes</ins>" in page
    kept = form_of(page)
    assert (kept["p0-l1-amount"], kept["reason"], kept["revision"]) == ("70", "wet", "2")
    assert queries.kept_formula("hearth-loaf").number == 2
    assert desk.post("/formulas/hearth-loaf/edit/", kept | {"do": "save"})[0] == 302
    history = queries.formula_history("hearth-loaf")
    assert [k.document.parts[0].lines[1].percent for k in history] == [70, 66, 65]


def test_lines_and_parts_and_stages_come_and_go(desk: Desk) -> None:
    """Behaviour: a filling is added, named, sized and saved without any script."""
    path = "/formulas/hearth-loaf/edit/"
    texts = form_of(desk.post(path, desk.form(path) | {"do": "add:p"})[1])
    texts |= {"p1-name": "Seeds", "p1-kind": "topping", "p1-size": "piece", "p1-amount": "12 g"}
    texts |= {"p1-l0-what": "Sesame seed", "p1-l0-amount": "100"}
    status, page = desk.post(path, texts | {"do": "add:s"})
    assert status == 200
    texts = form_of(page) | {"s6-kind": "finish", "s6-duration": "2 min", "s6-uses-part-1": "on"}
    what = texts["p1-l0-what"]
    answer = desk.draft(texts)
    assert answer["faults"] == {}, what
    status, _ = desk.post(path, texts | {"do": "save"})
    assert status == 302
    formula = queries.kept_formula("hearth-loaf").document
    assert (formula.parts[1].name, formula.parts[1].mass_per_piece_g) == ("Seeds", 12)
    assert (formula.stages[6].kind, formula.stages[6].uses) == ("finish", ("part-1",))
    status, page = desk.post(path, desk.form(path) | {"do": "drop:s6"})
    status, page = desk.post(path, form_of(page) | {"do": "drop:p1"})
    assert desk.post(path, form_of(page) | {"do": "save"})[0] == 302
    assert queries.kept_formula("hearth-loaf").document == queries.kept_formula("hearth-loaf", 1).document


def test_a_new_formula(desk: Desk) -> None:
    """Behaviour: from scratch, from a copy and on another's dough; the id follows from the name."""
    assert desk.post("/formula-new/", desk.form("/formula-new/") | {"name": "Pan de Ñora", "do": "save"})[1].startswith(
        "/formulas/pan-de-nora/"
    )
    copied = desk.form("/formula-new/?copy=hearth-loaf") | {"name": "Copy", "do": "save"}
    assert desk.post("/formula-new/", copied)[0] == 302
    same = queries.kept_formula("copy").document.model_copy(update={"id": "hearth-loaf", "name": "Hearth loaf"})
    assert same == queries.kept_formula("hearth-loaf").document
    based = desk.form("/formula-new/?base=hearth-loaf") | {"name": "Stick", "do": "save"}
    assert desk.post("/formula-new/", based)[0] == 302
    assert queries.kept_formula("stick").document.base == "hearth-loaf"


@pytest.mark.parametrize(("name", "given"), [("🥖", ""), ("خبز", ""), ("Loaf", "Not An Id"), ("Loaf", "hearth-loaf")])
def test_a_new_formula_needs_an_id_of_its_own(desk: Desk, name: str, given: str) -> None:
    """Bad input: a name without plain letters, an id that is none, an id that is taken: said beside the id."""
    texts = desk.form("/formula-new/") | {"name": name, "id": given, "do": "save"}
    status, page = desk.post("/formula-new/", texts)
    assert status == 422
    assert re.search(r'<span class="fault" id="id-fault"[^>]*>[^<]+</span>', page)
    assert form_of(page)["name"] == name
    assert len(queries.formula_slugs()) == 2


def test_sliders_answer_with_picture_and_numbers(desk: Desk) -> None:
    """Behaviour: quick with few members, at rest with all; a wrong number is said beside its slider."""
    quick = json.loads(desk.get("/formulas/hearth-loaf/try/moved/?room=27&quick=1")[1])
    rest = json.loads(desk.get("/formulas/hearth-loaf/try/moved/?room=27")[1])
    assert "with 100 doughs" in quick["html"]["tried"]
    assert "with 500 doughs" in rest["html"]["tried"]
    assert "<svg" in quick["html"]["tried"]
    assert not any(quick["faults"].values())
    wrong = json.loads(desk.get("/formulas/hearth-loaf/try/moved/?room=hot&piece=1e9")[1])
    assert "from 10 to 35 (found hot)" in wrong["faults"]["room"]
    assert wrong["faults"]["piece"]
    status, page = desk.get("/formulas/hearth-loaf/try/?room=%3Cb%3E")
    assert status == 422
    assert 'value="&lt;b&gt;"' in page
    assert "68 %" in desk.get("/formulas/hearth-loaf/try/?flour=3")[1]


def test_every_slider_has_a_number_beside_it(desk: Desk) -> None:
    """Behaviour: a range that is named and worked by keys, and a field of the same figure for who cannot drag."""
    outline = Outline(desk.get("/formulas/hearth-loaf/try/")[1])
    ranges = [a for a in outline.all("input") if a.get("type") == "range"]
    names = {a.get("name") for a in outline.all("input")}
    assert {a["data-for"] for a in ranges} == {"room", "dough", "flour", "piece"} <= names
    for one in ranges:
        assert one["aria-label"]
        assert float(one["min"]) <= float(one["value"]) <= float(one["max"])


def test_a_swap_is_shown_and_written(desk: Desk) -> None:
    """Behaviour: before and after, then a revision with the reason; a swap that is not there is one sentence."""
    page = desk.get("/formulas/hearth-loaf/swap/?swap=instant-yeast-to-fresh")[1]
    assert "goes out" in page
    assert "comes in" in page
    texts = {"swap": "instant-yeast-to-fresh", "revision": "1", "reason": "no instant left"}
    assert desk.post("/formulas/hearth-loaf/swap/", texts)[1] == "/formulas/hearth-loaf/?saved=1"
    assert queries.kept_formula("hearth-loaf").reason == "no instant left"
    status, page = desk.get("/formulas/hearth-loaf/swap/?swap=lead-to-gold")
    assert status == 422
    assert "lead-to-gold" in page
    assert desk.post("/formulas/hearth-loaf/swap/", {"swap": "fresh-yeast-to-instant", "revision": "1"})[0] == 409
    assert queries.kept_formula("hearth-loaf").number == 2


def test_revisions_side_by_side(desk: Desk) -> None:
    """Behaviour: what changed, marked, with who and why; everything else only if asked for."""
    texts = desk.form("/formulas/hearth-loaf/edit/") | {"p0-l1-amount": "70", "reason": "new <flour>", "do": "save"}
    desk.post("/formulas/hearth-loaf/edit/", texts)
    page = desk.get("/formulas/hearth-loaf/versions/?older=1&newer=2")[1]
    assert "<del>65 %; tempered: yes</del>" in page
    assert "<ins>70 %; tempered: yes</ins>" in page
    assert "new &lt;flour&gt;" in page
    assert page.count("<tr") < desk.get("/formulas/hearth-loaf/versions/?older=1&newer=2&all=1")[1].count("<tr")
    assert desk.get("/formulas/hearth-loaf/versions/?older=99&newer=abc")[0] == 200


@pytest.mark.parametrize("tail", ["edit/", "try/", "try/moved/", "swap/", "versions/"])
def test_a_formula_that_is_not_there(desk: Desk, tail: str) -> None:
    """Bad input: 404."""
    assert desk.get(f"/formulas/nowhere/{tail}")[0] == 404
    assert desk.get("/formula-new/?copy=nowhere")[0] == 404


def test_the_shaping_is_drawn(desk: Desk) -> None:
    """Behaviour: a formula that says how its pieces are made shows them to scale."""
    texts = desk.form("/formulas/hearth-loaf/edit/") | {"shape-form": "round", "s3-rise": "2,2", "do": "save"}
    assert desk.post("/formulas/hearth-loaf/edit/", texts)[0] == 302
    page = desk.get("/formulas/hearth-loaf/")[1]
    assert "A piece from above" in page
    assert "after the proof (dashed)" in page


def test_a_reader_sees_and_cannot_write(bakery: Path) -> None:
    """Behaviour: whoever may only look has no way to the form, and is refused at its address; trying is free."""
    from smallhours.actions.people.add_person import AddPerson, add_person
    from web.doors import PASSWORD, signed_in

    for name, role in (("Ana", "head-baker"), ("Vera", "reader")):
        add_person(AddPerson(name, role, PASSWORD.format(name.lower())))
    vera, ana = signed_in("Vera"), signed_in("Ana")
    assert b"/edit/" not in vera.get("/formulas/hearth-loaf/").content
    assert b"/edit/" in ana.get("/formulas/hearth-loaf/").content
    texts = form_of(ana.get("/formulas/hearth-loaf/edit/").content.decode()) | {"p0-l1-amount": "99", "do": "save"}
    assert vera.get("/formulas/hearth-loaf/edit/").status_code == 403
    assert vera.post("/formulas/hearth-loaf/edit/", texts).status_code == 403
    assert vera.post("/formula-new/", texts).status_code == 403
    swap = {"swap": "instant-yeast-to-fresh", "revision": "1"}
    assert vera.post("/formulas/hearth-loaf/swap/", swap).status_code == 403
    assert vera.get("/formulas/hearth-loaf/try/").status_code == 200
    assert queries.kept_formula("hearth-loaf").number == 1
    assert ana.post("/formulas/hearth-loaf/edit/", texts).status_code == 302
    assert queries.kept_formula("hearth-loaf").author == "Ana"
