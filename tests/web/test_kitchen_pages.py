"""The kitchen in forms: shown, changed, added to, taken from; by two at a time; typed wrong."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from django.test import Client

from smallhours.actions.change_kitchen import ChangeKitchen, change_kitchen
from smallhours.actions.permissions import Actor
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.errors import BadInput, DocumentError, NotAllowed, NotFound
from smallhours.records import queries
from smallhours.web.kitchen_fields import SECTIONS
from web.page_form import Form

ANA = Actor("Ana", "head-baker")


@pytest.fixture
def browser(bakery: Path) -> Client:
    """A browser on this machine."""
    return Client(headers={"host": "localhost"}, raise_request_exception=False)


def kitchen() -> Kitchen:
    return queries.kept_kitchen().document


def form(browser: Client, part: str) -> dict[str, str]:
    return Form(browser.get(f"/kitchen/{part}/").content.decode()).fields


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("part", [section.key for section in SECTIONS])
def test_saved_as_it_is_nothing_changes(browser: Client, part: str, lang: str) -> None:
    """Round trip: every form, sent back as it is shown, in both languages, is the same kitchen and no new revision."""
    before = queries.kept_kitchen()
    fields = Form(browser.get(f"/kitchen/{part}/?lang={lang}").content.decode()).fields
    answer = browser.post(f"/kitchen/{part}/", fields)
    assert answer.status_code == 302, re.findall(r'class="fault"[^>]*>([^<]*)', answer.content.decode())
    assert queries.kept_kitchen() == before


@pytest.mark.parametrize("part", [section.key for section in SECTIONS])
def test_the_invented_bakery_goes_through_its_forms(home: Path, part: str) -> None:
    """Round trip: the same with a kitchen that has something of everything."""
    from smallhours.actions.load_demo import load_demo

    load_demo()
    browser = Client(headers={"host": "localhost"})
    before = queries.kept_kitchen()
    assert browser.post(f"/kitchen/{part}/", form(browser, part)).status_code == 302
    assert queries.kept_kitchen() == before


def test_temperatures_of_today(browser: Client) -> None:
    """Hand: 23,5 °C with a comma, 68 °F are 20 °C, the room at two hours; the curve is drawn through them."""
    fields = form(browser, "temperatures")
    fields |= {"i0-room": "23,5", "i0-flour": "68 °F", "i0-tap-water": "11"}
    fields |= {"i0-room-course-0-at": "4:00", "i0-room-course-0-temp": "18"}
    fields |= {"i0-room-course-1-at": "16:00", "i0-room-course-1-temp": "25.5", "reason": "hot day"}
    assert browser.post("/kitchen/temperatures/", fields).status_code == 302
    now = kitchen().temperatures
    assert (now.room_c, now.flour_c, now.tap_water_c) == (23.5, 20.0, 11.0)
    assert [(f"{h.at:%H:%M}", h.temp_c) for h in now.room_course] == [("04:00", 18.0), ("16:00", 25.5)]
    html = browser.get("/kitchen/").content.decode()
    assert "Coldest 18.0\u00a0°C at 04:00, warmest 25.5\u00a0°C at 16:00" in html
    assert queries.kept_kitchen().reason == "hot day"


def test_one_more_and_one_less(browser: Client) -> None:
    """Behaviour: the button offers a usual mixer and saves nothing; named and saved it is there with an id of its own;
    ticked it is taken out again. What no form asks for stays."""
    html = browser.post("/kitchen/mixers/", form(browser, "mixers") | {"add": "1"}).content.decode()
    assert len(kitchen().mixers) == 1
    fields = Form(html).fields
    assert (fields["i1-max-dough"], fields["i1-id"]) == ("25", "")
    fields |= {"i1-name": "Spiral", "i1-max-dough": "55 lb"}
    assert browser.post("/kitchen/mixers/", fields).status_code == 302
    assert [(m.id, m.name) for m in kitchen().mixers] == [("spiral", "Spiral"), ("spiral-2", "Spiral")]
    assert kitchen().mixers[1].max_dough_g == pytest.approx(55 * 453.59237)
    assert kitchen().mixers[0].friction_k == 12
    browser.post("/kitchen/mixers/", form(browser, "mixers") | {"i1-remove": "on"})
    assert [m.id for m in kitchen().mixers] == ["spiral"]


def test_names_that_make_no_id(browser: Client) -> None:
    """Behaviour: a name in other letters, an emoji: the thing gets an id of its kind."""
    fields = Form(browser.post("/kitchen/racks/", form(browser, "racks") | {"add": "1"}).content.decode()).fields
    assert browser.post("/kitchen/racks/", fields | {"i1-name": "عربة 🛒"}).status_code == 302
    assert [(r.id, r.name) for r in kitchen().racks][1] == ("racks", "عربة 🛒")
    assert "عربة 🛒" in browser.get("/kitchen/").content.decode()


def test_decks_and_hours(browser: Client) -> None:
    """Behaviour: three decks of 4, 4 and 2 trays, the first keeps its id; hours over midnight on two days, a break."""
    assert browser.post("/kitchen/ovens/", form(browser, "ovens") | {"i0-decks": "4, 4, 2"}).status_code == 302
    (oven,) = kitchen().ovens
    assert [(d.id, d.tray_places) for d in oven.decks] == [("deck-1", 4), ("1", 4), ("2", 2)]
    fields = form(browser, "people")
    for day in ("mon", "tue", "wed", "thu", "fri"):
        del fields[f"i0-hours-0-days-{day}"]
    fields |= {"i0-hours-0-start": "22:00", "i0-hours-0-end": "06:00"}
    fields |= {"i0-breaks-0-earliest": "1:00", "i0-breaks-0-latest": "3:00", "i0-breaks-0-duration": "0,5 h"}
    assert browser.post("/kitchen/people/", fields).status_code == 302
    (ines,) = kitchen().people
    assert [(h.days, f"{h.start:%H:%M}", f"{h.end:%H:%M}") for h in ines.hours] == [(("sat", "sun"), "22:00", "06:00")]
    assert [pause.duration_s for pause in ines.breaks] == [1800.0]


@pytest.mark.parametrize(
    ("part", "field", "typed", "sentence"),
    [
        ("mixers", "i0-max-dough", "heavy", "Write a number in kg"),
        ("mixers", "i0-max-dough", "1.234,5,6", "Write a number in kg"),
        ("mixers", "i0-friction-k", "400", "Must be 40\u00a0K or less."),
        ("mixers", "i0-clean", "-5", "Must be 0\u00a0min or more."),
        ("mixers", "i0-name", "", "This is empty"),
        ("mixers", "i0-kind", "cement", "no cement to choose"),
        ("ovens", "i0-decks", "3, x", "Write numbers above 0"),
        ("ovens", "i0-decks", "0", "Write numbers above 0"),
        ("ovens", "i0-decks", "2.5", "tray places of each deck"),
        ("ovens", "i0-heat-k-per-min", "0", "Must be more than 0\u00a0K/min."),
        ("pans", "i0-count", "2,5", "whole number from 0 to 100000"),
        ("racks", "i0-tray-places", "0", "Must be 1 or more."),
        ("temperatures", "i0-room", "1e9999", "Write a number in °C"),
        ("temperatures", "i0-room", "500", "Must be 400\u00a0°C or less."),
        ("temperatures", "i0-room", "<script>", "Write a number in °C"),
        ("temperatures", "i0-room-course-0-at", "24:30", "time of day like 06:30"),
        ("people", "i0-hours-0-end", "", "This is empty"),
        ("people", "i0-breaks-0-duration", "0", "Write a number in min"),
        ("house", "i0-timezone", "Mars/Olympus", "no Mars/Olympus to choose"),
        ("house", "i0-scale-steps", "0", "Write numbers above 0"),
        ("house", "i0-name", "\u202eabc", "U+202E"),
    ],
)
def test_what_cannot_be_used(browser: Client, part: str, field: str, typed: str, sentence: str) -> None:
    """Bad input: status 422, one sentence tied to its field, the text kept, nothing saved."""
    before = queries.kept_kitchen()
    fields = form(browser, part) | {field: typed}
    if "breaks" in field:
        fields |= {"i0-breaks-0-earliest": "1:00", "i0-breaks-0-latest": "3:00"}
    if "course" in field:
        fields |= {"i0-room-course-0-temp": "18"}
    answer = browser.post(f"/kitchen/{part}/", fields)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert re.findall(r'class="fault" id="([^"]*)">([^<]*)<', html)[0][0] == f"{field}-fault"
    assert sentence in unescape(html)
    assert re.search(rf'id="{field}"[^>]*aria-describedby="{field}-fault"', html)
    assert field == "i0-kind" or Form(html).fields[field] == typed  # a list shows only what it offers
    assert queries.kept_kitchen() == before


def test_a_bowl_smaller_than_its_smallest_dough(browser: Client) -> None:
    """Bad input: what concerns two fields at once is said above the thing they belong to."""
    answer = browser.post("/kitchen/mixers/", form(browser, "mixers") | {"i0-min-dough": "50"})
    assert answer.status_code == 422
    assert "its smallest dough is larger than its largest" in answer.content.decode()


def test_no_day_ticked(browser: Client) -> None:
    """Bad input: hours on no day."""
    fields = {name: value for name, value in form(browser, "people").items() if "hours-0-days" not in name}
    html = browser.post("/kitchen/people/", fields).content.decode()
    assert "Tick at least one day." in html
    assert 'id="i0-hours-0-days-fault"' in html


@pytest.mark.parametrize(
    "change",
    [{"based-on": "99"}, {"based-on": "x"}, {"kitchen": "other"}, {"things": "5000"}, {"things": "x"}, {"i0-id": "no"}],
)
def test_forms_that_no_page_made(browser: Client, change: dict[str, str]) -> None:
    """Bad input: status 400."""
    assert browser.post("/kitchen/mixers/", form(browser, "mixers") | change).status_code == 400


def test_two_change_the_kitchen(browser: Client) -> None:
    """Behaviour: Ana changes the racks while somebody has the mixers open: both stay. She changes the mixer too: 409
    with hers beside what was typed; saved again, the typed one stands, and hers is in the revisions."""
    fields = form(browser, "mixers")
    held = queries.kept_kitchen()
    racks = [rack.model_copy(update={"count": 5}).to_json_data() for rack in held.document.racks]
    change_kitchen(ChangeKitchen("corner-bakery", held.number, {"racks": racks}), ANA)
    assert browser.post("/kitchen/mixers/", fields | {"i0-max-dough": "41"}).status_code == 302
    assert (kitchen().racks[0].count, kitchen().mixers[0].max_dough_g) == (5, 41000)

    fields = form(browser, "mixers")
    held = queries.kept_kitchen()
    mixers = [held.document.mixers[0].model_copy(update={"max_dough_g": 50000.0}).to_json_data()]
    change_kitchen(ChangeKitchen("corner-bakery", held.number, {"mixers": mixers}), ANA)
    answer = browser.post("/kitchen/mixers/", fields | {"i0-max-dough": "45"})
    html = answer.content.decode()
    assert answer.status_code == 409
    assert "Ana has changed this" in html
    assert "Largest dough: 50" in html
    assert kitchen().mixers[0].max_dough_g == 50000
    again = Form(html).fields
    assert again["i0-max-dough"] == "45"
    assert browser.post("/kitchen/mixers/", again).status_code == 302
    assert kitchen().mixers[0].max_dough_g == 45000


def test_the_kitchen_as_text(browser: Client) -> None:
    """Behaviour: the text form changed and saved; what is left out of it goes; a syntax error says line and column and
    keeps the text; overtaken texts are shown beside."""
    fields = Form(browser.get("/kitchen/text/").content.decode()).fields
    text = fields["text"].replace('room = "21 °C"', 'room = "19 °C"')
    assert browser.post("/kitchen/text/", fields | {"text": text}).status_code == 302
    assert kitchen().temperatures.room_c == 19
    stale = browser.post("/kitchen/text/", fields | {"text": text.replace("19", "18")})
    assert stale.status_code == 409
    assert "19 °C" in stale.content.decode().partition("<pre")[2]
    again = Form(stale.content.decode()).fields
    assert browser.post("/kitchen/text/", again).status_code == 302
    assert kitchen().temperatures.room_c == 18
    fields = Form(browser.get("/kitchen/text/").content.decode()).fields
    bad = browser.post("/kitchen/text/", fields | {"text": "id = \n"})
    assert bad.status_code == 422
    assert "line 1, column" in bad.content.decode()
    racks = fields["text"].index("[[racks]]")
    people = fields["text"].index("[[people]]")
    without = fields["text"][:racks] + fields["text"][people:]
    assert browser.post("/kitchen/text/", fields | {"text": without}).status_code == 302
    assert kitchen().racks == ()


def test_change_kitchen_refuses(bakery: Path) -> None:
    """Bad input: a field no kitchen has; a kitchen that does not hold together; an unknown revision; a reader."""
    for command, error in (
        (ChangeKitchen("corner-bakery", 1, {"chimneys": []}), BadInput),
        (ChangeKitchen("corner-bakery", 1, {"timezone": "Mars/Olympus"}), DocumentError),
        (ChangeKitchen("corner-bakery", 9, {"racks": []}), NotFound),
    ):
        with pytest.raises(error):
            change_kitchen(command)
    with pytest.raises(NotAllowed):
        change_kitchen(ChangeKitchen("corner-bakery", 1, {"racks": []}), Actor("Rita", "reader"))


def test_without_a_kitchen(home: Path) -> None:
    """Behaviour: forms lead to the page that says there is none, and that to the first steps."""
    browser = Client(headers={"host": "localhost"})
    assert browser.get("/kitchen/mixers/").headers["Location"] == "/kitchen/"
    assert browser.get("/kitchen/text/").headers["Location"] == "/kitchen/"
    assert 'href="/first/"' in browser.get("/kitchen/").content.decode()
    assert Client(headers={"host": "localhost"}).get("/kitchen/chimneys/").status_code == 404


@pytest.mark.parametrize(
    ("lang", "typed", "grams"), [("en", "1.234", 1234), ("es", "1,234", 1234), ("es", "0,125", 125)]
)
def test_numbers_that_could_be_thousands(browser: Client, lang: str, typed: str, grams: int) -> None:
    """Hand: 1,234 kg is 1234 g where the comma is the decimal mark, as the page itself would write it."""
    browser.get(f"/kitchen/?lang={lang}")
    assert browser.post("/kitchen/mixers/", form(browser, "mixers") | {"i0-min-dough": typed}).status_code == 302
    assert kitchen().mixers[0].min_dough_g == grams
    assert form(browser, "mixers")["i0-min-dough"] == typed


def test_thousands_are_not_guessed(browser: Client) -> None:
    """Bad input: 1,250 on an English page is neither 1.25 nor 1250 without asking."""
    answer = browser.post("/kitchen/mixers/", form(browser, "mixers") | {"i0-min-dough": "1,250"})
    assert answer.status_code == 422
    assert "found 1,250" in answer.content.decode()


def test_scale_steps_with_a_comma(browser: Client) -> None:
    """Round trip: a single step of 0,1 g on a Spanish page stays what it is."""
    browser.get("/kitchen/?lang=es")
    for typed, steps in (("0,1", (0.1,)), ("0,5; 2", (0.5, 2.0)), ("1, 5", (1.0, 5.0))):
        assert browser.post("/kitchen/house/", form(browser, "house") | {"i0-scale-steps": typed}).status_code == 302
        assert kitchen().scale_steps_g == steps
        assert browser.post("/kitchen/house/", form(browser, "house")).status_code == 302
        assert kitchen().scale_steps_g == steps
