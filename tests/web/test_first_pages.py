"""The first steps of a new bakery, the invented one instead, and the guided look."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest
from django.test import Client

from smallhours.actions.permissions import Actor
from smallhours.records import queries
from smallhours.web.first_forms import FORMULA, KITCHEN, ORDER
from smallhours.web.tour import STEPS
from web.page_form import Form


@pytest.fixture
def browser(home: Path) -> Client:
    """A browser on this machine, and an empty store."""
    return Client(headers={"host": "localhost"}, raise_request_exception=False)


def fill(browser: Client, step: str, **typed: str) -> str:
    """Send a step's form as it is offered, with what is typed; where that leads."""
    page = browser.get(f"/first/{step}/")
    assert page.status_code == 200, step
    answer = browser.post(f"/first/{step}/", Form(page.content.decode()).fields | typed)
    assert answer.status_code == 302, re.findall(r'class="fault"[^>]*>([^<]*)', answer.content.decode())
    return answer.headers["Location"]


def test_from_nothing_to_a_plan(browser: Client) -> None:
    """Behaviour: from the bare address through kitchen, formula, order to a plan that is kept, with what is offered and
    five things typed; each step leads to the next, and the first page knows which are done."""
    assert browser.get("/").headers["Location"] == "/first/"
    assert 'href="/first/kitchen/"' in browser.get("/first/").content.decode()
    assert fill(browser, "kitchen", name="Corner", person="Ana", timezone="Europe/Madrid") == "/first/formula/"
    kitchen = queries.kept_kitchen().document
    assert (kitchen.name, kitchen.people[0].name, len(kitchen.ovens[0].decks)) == ("Corner", "Ana", 3)
    assert fill(browser, "formula", name="Country loaf") == "/first/order/"
    assert fill(browser, "order", pieces="18") == "/first/plan/"
    html = browser.get("/first/").content.decode()
    assert html.count("✓") == 3
    assert 'href="/first/plan/"' in html
    answer = browser.post("/first/plan/", {})
    plan = queries.kept_plan()
    assert answer.headers["Location"] == f"/plan/{plan.night}/"
    assert plan.body["status"] in ("optimal", "feasible")
    assert [order["late_s"] for order in plan.body["orders"]] == [0]
    page = browser.get(answer.headers["Location"]).content.decode()
    assert "Country loaf" in page


def test_soft_buns_for_one_day(browser: Client) -> None:
    """Behaviour: the other kind of formula with its own figures; an order for one day only."""
    fill(
        browser, "kitchen", name="Corner", person="Ana", timezone="Europe/Madrid", oven="convection", mixer="planetary"
    )
    fields = Form(browser.get("/first/formula/?style=bun").content.decode()).fields
    assert (fields["piece_g"], fields["style"]) == ("60", "bun")
    assert (
        browser.post("/first/formula/", fields | {"name": "Bollos tiernos", "proof_s": "1 h 30 min"}).status_code == 302
    )
    formula = queries.kept_formula("bollos-tiernos").document
    assert {line.ingredient for line in formula.parts[0].lines} >= {"milk-whole", "butter-unsalted", "sugar"}
    assert next(stage.duration_s for stage in formula.stages if stage.kind == "proof") == 5400
    fields = Form(browser.get("/first/order/").content.decode()).fields
    del fields["daily"]
    assert browser.post("/first/order/", fields | {"date": "2099-01-05"}).status_code == 302
    book = queries.order_book()
    assert book.standing == ()
    assert [(order.product, order.date) for order in book.single] == [("bollos-tiernos", dt.date(2099, 1, 5))]


@pytest.mark.parametrize(
    ("step", "field", "typed", "sentence"),
    [
        ("kitchen", "name", "", "This is empty"),
        ("kitchen", "name", "\u0007", "U+0007"),
        ("kitchen", "timezone", "here", "no here to choose"),
        ("kitchen", "start", "midnight", "time of day"),
        ("kitchen", "mixer_g", "0", "from 0.5 to 500 kg"),
        ("kitchen", "decks", "2,5", "whole number from 1 to 20"),
        ("kitchen", "room_c", "٢٥x", "Write a number in °C"),
        ("kitchen", "room_c", "60", "from 5 to 45 °C"),
        ("formula", "yeast_percent", "12", "from 0.05 to 5 %"),
        ("formula", "bake_s", "1 week", "Write a number in min"),
        ("order", "pieces", "0", "whole number from 1"),
        ("order", "product", "cake", "no cake to choose"),
        ("order", "date", "30/2/2026", "Write a day like"),
    ],
)
def test_what_cannot_be_used(browser: Client, step: str, field: str, typed: str, sentence: str) -> None:
    """Bad input: status 422, one sentence tied to its field, what was typed kept."""
    good = {"name": "Corner <b>", "person": "Ana", "timezone": "Europe/Madrid"}
    if step != "kitchen":
        fill(browser, "kitchen", **good)
    if step == "order":
        fill(browser, "formula", name="Loaf")
    fields = Form(browser.get(f"/first/{step}/").content.decode()).fields
    sent = fields | (good if step == "kitchen" else {"name": "Loaf"} if step == "formula" else {}) | {field: typed}
    answer = browser.post(f"/first/{step}/", sent)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert html.count('class="fault" id="') == 1
    assert sentence in html
    assert re.search(rf'id="{field}"[^>]*aria-describedby="{field}-fault"', html)
    if step != "order" or field != "product":
        assert Form(html).fields[field] == typed
    assert "<b>" not in html


def test_an_hour_the_clocks_jump_over(browser: Client) -> None:
    """Published: IANA time zone database: in Madrid 02:30 is not there on 29 March 2026."""
    fill(browser, "kitchen", name="Corner", person="Ana", timezone="Europe/Madrid")
    fill(browser, "formula", name="Loaf")
    fields = Form(browser.get("/first/order/").content.decode()).fields | {"date": "2026-03-29", "due": "2:30"}
    answer = browser.post("/first/order/", fields)
    assert answer.status_code == 422
    assert "the clocks go from 02:00 to 03:00" in answer.content.decode()


def test_a_name_in_other_letters(browser: Client) -> None:
    """Behaviour: a product that has no letters for an id gets one of its kind."""
    fill(browser, "kitchen", name="مخبز 🥖", person="ليلى", timezone="Europe/Madrid")
    fill(browser, "formula", name="خبز")
    assert queries.kept_formula("first-loaf").document.name == "خبز"


def test_steps_in_their_order(browser: Client) -> None:
    """Behaviour: no step before the one it needs, none twice; nothing to plan without orders."""
    for step in ("formula", "order", "plan"):
        assert browser.get(f"/first/{step}/").headers["Location"] == "/first/"
    fill(browser, "kitchen", name="Corner", person="Ana", timezone="Europe/Madrid")
    assert browser.get("/first/kitchen/").headers["Location"] == "/first/"
    assert "no night to plan" in browser.get("/first/plan/").content.decode()


def test_the_invented_bakery_only_into_an_empty_store(browser: Client) -> None:
    """Behaviour: loaded once, then the guided look is offered; a second time it says why not."""
    assert browser.post("/first/demo/").headers["Location"] == "/tour/"
    assert len(queries.formula_slugs()) > 10
    assert "There is no plan to look at yet" in browser.get("/tour/").content.decode()
    again = browser.post("/first/demo/").headers["Location"]
    assert "already holds a bakery" in browser.get(again).content.decode()
    assert browser.get("/first/demo/").status_code == 405


@pytest.mark.parametrize("lang", ["en", "es"])
def test_the_guided_look(bakery: Path, lang: str) -> None:
    """Behaviour: six cards, each on a page that answers, linked forwards and back, the last leading out; a card is
    shown only where it was asked for."""
    from smallhours.records import keeping
    from web.test_pages import NIGHT, small_plan

    made_from = {"formulas": {"hearth-loaf": 1, "hearth-roll": 1}, "ingredients": {}, "kitchen": ["corner-bakery", 1]}
    keeping.keep_plan(NIGHT, small_plan().model_dump(mode="json"), small_plan().made_at, made_from, "baker")
    browser = Client(headers={"host": "localhost"})
    html = browser.get(f"/tour/?lang={lang}").content.decode()
    found = re.search(r'class="go" href="([^"]*)"', html)
    for number in range(1, len(STEPS) + 1):
        assert found is not None
        page = browser.get(found[1].replace("&amp;", "&"))
        assert page.status_code == 200
        card = page.content.decode().partition('class="tour"')[2].partition("</aside>")[0]
        assert f"{number} " in card
        assert card.count("tour=") == (2 if 1 < number < len(STEPS) else 1)
        found = re.search(r'class="go" href="([^"]*)"', card)
    assert found is not None
    assert found[1] == "/first/"
    for asked in ("0", "7", "x", "99999", "²"):
        assert 'class="tour"' not in browser.get(f"/kitchen/?tour={asked}").content.decode()


def test_every_field_has_a_label(browser: Client) -> None:
    """Behaviour: in both languages, every field of the three forms is named by a label of its own."""
    for step, fields in (("kitchen", KITCHEN), ("formula", FORMULA), ("order", ORDER)):
        for lang in ("es", "en"):
            html = browser.get(f"/first/{step}/?lang={lang}").content.decode()
            assert all(re.search(rf'<label for="{field.name}">[^<]+', html) for field in fields), (lang, step)
        fill(browser, step, **({"name": "A", "person": "B", "timezone": "Asia/Tokyo"} if step != "order" else {}))


def test_who_may_not_begin(browser: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: somebody who only reads sees the steps without a button, and what is sent all the same is refused."""
    from smallhours.web import signing

    monkeypatch.setattr(signing, "BAKER", Actor("Rita", "reader"))
    html = browser.get("/first/").content.decode()
    assert "/first/kitchen/" not in html
    assert browser.post("/first/demo/").status_code == 403
