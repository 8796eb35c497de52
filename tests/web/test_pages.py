"""The pages: every one answers, in both languages, within its policy; bad questions get one clear sentence."""

from __future__ import annotations

import datetime as dt
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from smallhours.planning import plan as p

NIGHT = dt.date(2026, 1, 15)
PAGES = (
    "/plan/2026-01-15/",
    "/plan/2026-01-15/people/",
    "/plan/2026-01-15/ovens/",
    "/plan/2026-01-15/weigh-up/",
    "/formulas/",
    "/formulas/hearth-loaf/",
    "/formulas/hearth-roll/?pieces=75",
    "/orders/?date=2026-01-15",
    "/kitchen/",
)


def _at(hour: int, minute: int = 0) -> dt.datetime:
    """A time on the kitchen's clock (Madrid in winter: UTC + 1)."""
    return dt.datetime(2026, 1, 15, hour, minute, tzinfo=dt.UTC) - dt.timedelta(hours=1)


def _task(kind: str, start: dt.datetime, minutes: int, resource: str, lot: str | None = None) -> p.PlanTask:
    end = start + dt.timedelta(minutes=minutes)
    return p.PlanTask(
        id=f"{lot}:{kind}", kind=kind, stage=kind, name=kind, batch="d1", lot=lot, formula="hearth-loaf", part="dough",
        pieces=30 if lot else None, place=resource, start=start, end=end,
        window=p.Window(min_s=60, preferred_s=60 * minutes, max_s=60 * minutes),
        uses=(p.Use(resource=resource, amount=1, start=start, end=end),),
        hands=(p.Hands(person="ines", start=start, end=end),), set_temp_c=230 if kind == "bake" else None,
    )  # fmt: skip


def small_plan() -> p.Plan:
    """One dough, one lot, half an hour late; the customer's name tries to break out of the page."""
    lot = p.PlanLot(
        id="d1-1", product="hearth-loaf", name="Hearth loaf", pieces=30, piece_mass_g=900, pan="tray", pans=5,
        tray_places=5, due=_at(7, 30), ready=_at(8),
    )  # fmt: skip
    return p.Plan(
        kitchen="corner-bakery", kitchen_name="Corner bakery", night=NIGHT, timezone="Europe/Madrid", made_at=_at(0),
        horizon_start=_at(1), horizon_end=_at(9), tick_s=60, status="feasible",
        resources=tuple(
            p.PlanResource(id=i, name=name, kind=kind, unit="place", capacity=2)
            for i, name, kind in (("spiral", "Spiral", "mixer"), ("bench", "Bench", "bench"),
                                  ("deck-1", "Deck oven", "deck"), ("rack", "Rack", "rack"))
        ),
        people=(p.PlanPerson(id="ines", name="Ines", hours=(p.CalendarPiece(start=_at(2), end=_at(9), capacity=1),),
                             breaks=(p.CalendarPiece(start=_at(5), end=_at(5, 20), capacity=0),)),),
        batches=(p.PlanBatch(
            id="d1", formula="hearth-loaf", part="dough", part_kind="dough", name="Dough", mass_g=27600, flour_g=16450,
            mixer="spiral", lots=(lot,),
            liquid=p.LiquidAdvice(liquid="water", target_dough_temp_c=24, liquid_temp_c=15.5, low_c=12, high_c=19,
                                  rule_temp_c=17),
        ),),
        tasks=(_task("mix", _at(3), 8, "spiral"), _task("shape", _at(4, 30), 25, "bench", "d1-1"),
               _task("bake", _at(6), 40, "deck-1", "d1-1")),
        ovens=(p.OvenStretch(deck="deck-1", set_temp_c=230, heat_from=_at(5), start=_at(5, 45), end=_at(7)),),
        orders=(p.PlanOrder(customer="<script>alert(1)</script>", product="hearth-loaf", pieces=30, due=_at(7, 30),
                            ready=_at(8), late_s=1800, lots=(p.LotShare(lot="d1-1", pieces=30),)),),
        late=(p.LateReason(product="hearth-loaf", late_s=1800, resource="deck-1", sentence="It waits for the oven."),),
        notes=("A note & more.",),
    )  # fmt: skip


@pytest.fixture
def pages(bakery: Path) -> Pages:
    """A browser of sorts, on a store with the small bakery and a plan."""
    from smallhours.records import keeping

    made_from = {"formulas": {"hearth-loaf": 1, "hearth-roll": 1}, "ingredients": {}, "kitchen": ["corner-bakery", 1]}
    plan = small_plan()
    keeping.keep_plan(NIGHT, plan.model_dump(mode="json"), plan.made_at, made_from, "baker")
    return Pages()


class Pages:
    """Asks for pages as a browser on this machine does."""

    def __init__(self, host: str = "127.0.0.1:8350") -> None:
        from django.test import Client

        self.client = Client(headers={"host": host}, raise_request_exception=False)

    def get(self, path: str, **headers: str) -> Answer:
        return Answer(self.client.get(path, headers=headers))


class Answer:
    """A page's answer: its status, headers and text."""

    def __init__(self, response) -> None:  # type: ignore[no-untyped-def]
        self.status: int = response.status_code
        self.headers = response.headers
        self.text: str = response.content.decode() if not response.streaming else ""


class Outline(HTMLParser):
    """What is in a page, tag by tag."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("path", PAGES)
def test_every_page_answers_in_both_languages(pages: Pages, path: str, lang: str) -> None:
    """Behaviour: status 200, the language said, one h1, a title, landmarks, a skip link, nothing inline."""
    answer = pages.get(path + ("&" if "?" in path else "?") + f"lang={lang}")
    assert answer.status == 200
    outline = Outline(answer.text)
    assert outline.all("html")[0]["lang"] == answer.headers["Content-Language"] == lang
    for tag in ("h1", "main", "header", "footer", "title"):
        assert len([1 for name, attrs in outline.tags if name == tag and not (tag == "title" and attrs)]) >= 1
    assert len(outline.all("h1")) == len(outline.all("main")) == 1
    assert outline.all("a")[0]["href"] == "#content"
    assert all(str(script.get("src", "")).startswith("/static/") for script in outline.all("script"))
    assert not outline.all("style")
    assert not [tag for tag, attrs in outline.tags if any(k == "style" or k.startswith("on") for k in attrs)]
    assert "default-src 'none'; script-src 'self'; style-src 'self';" in answer.headers["Content-Security-Policy"]
    ids = [attrs["id"] for _, attrs in outline.tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    assert "{" not in re.sub(r"<svg.*?</svg>", "", answer.text, flags=re.S)


def test_links_lead_somewhere(pages: Pages) -> None:
    """Behaviour: every link and style sheet of every page answers with 200 (or leads there)."""
    found = set()
    for path in PAGES:
        outline = Outline(pages.get(path).text)
        found |= {a["href"] for a in outline.all("a") + outline.all("link") if a.get("href")}
    local = {href for href in found if href and href.startswith("/")}
    assert {"/formulas/hearth-loaf/", "/ribbons.css", "/static/smallhours/base.css"} <= local
    assert {href: pages.get(href).status for href in local if pages.get(href).status not in (200, 302)} == {}


def test_the_first_page_leads_to_the_newest_plan(pages: Pages) -> None:
    """Behaviour: the bare address goes to the plan's night and keeps the language asked for."""
    answer = pages.get("/?lang=es")
    assert (answer.status, answer.headers["Location"]) == (302, "/plan/2026-01-15/?lang=es")


def test_the_night_at_a_glance(pages: Pages) -> None:
    """Behaviour: ribbons, due and ready on the kitchen's clock, how late and why; names cannot break out."""
    text = pages.get("/plan/2026-01-15/").text
    assert "<svg" in text
    assert "Thursday 15 January 2026" in text
    for words in (
        "07:30",
        "08:00",
        "30\u00a0min late",
        "It waits for the oven.",
        "A note &amp; more.",
        "1 of 1 orders",
    ):
        assert words in text
    assert "&lt;script&gt;alert(1)" in text
    assert "<script" not in text


def test_how_sure_a_plan_is(bakery: Path) -> None:
    """Behaviour: a plan that carries its odds says them in a line, in both languages, with the least sure order;
    names cannot break out. Due before its bake ends, the order is late in every night: 0 of 100."""
    from smallhours.planning.odds.night_odds import night_odds
    from smallhours.records import keeping

    plan = small_plan()
    plan = plan.model_copy(update={"orders": tuple(o.model_copy(update={"due": _at(6)}) for o in plan.orders)})
    plan = plan.model_copy(update={"odds": night_odds(plan, nights=20)})
    made_from = {"formulas": {"hearth-loaf": 1, "hearth-roll": 1}, "ingredients": {}, "kitchen": ["corner-bakery", 1]}
    keeping.keep_plan(NIGHT, plan.model_dump(mode="json"), plan.made_at, made_from, "baker")
    text = Pages().get("/plan/2026-01-15/").text
    assert "In 0 of 100 nights like this everything is on time. Least sure: Hearth loaf for " in text
    assert "<script" not in text
    assert "En 0 de cada 100 noches" in Pages().get("/plan/2026-01-15/?lang=es").text


def test_who_does_what_when(pages: Pages) -> None:
    """Hand: hands from 03:00 to 03:08 at the mixer, a break at 05:00, the oven at 06:00, in this order."""
    text = pages.get("/plan/2026-01-15/people/").text
    places = [text.index(words) for words in ("Ines", "03:00", "03:08", "Break", "06:00", "06:40")]
    assert places == sorted(places)


def test_the_oven_list(pages: Pages) -> None:
    """Hand: on at 05:00, ready at 05:45, loaded at 06:00 at 230 °C, out at 06:40."""
    text = pages.get("/plan/2026-01-15/ovens/").text
    for words in ("230\u00a0°C", "On: 05:00; ready: 05:45; until: 07:00", "06:00", "06:40", "Hearth loaf", "Ines"):
        assert words in text


def test_the_weigh_up(pages: Pages) -> None:
    """Hand: 27.6 kg over 100 + 65 + 2 + 0.8 = 167.8 %: flour 16 448 g, salt 329 g, yeast 131.6 g, all to 5 g."""
    text = pages.get("/plan/2026-01-15/weigh-up/").text
    for words in (
        "16\u2009450\u00a0g",
        "330\u00a0g",
        "130\u00a0g",
        "16\u00a0°C",
        "12\u00a0°C to 19\u00a0°C",
        "Spiral",
    ):
        assert words in text


def test_a_formula_for_a_number_of_pieces(pages: Pages) -> None:
    """Hand: 20 loaves of 900 g, twice 1 % lost: 18 000 / 0.99² = 18 365.5 g; flour is 100/167.8 of it, 10 945 g."""
    text = pages.get("/formulas/hearth-loaf/?pieces=20").text
    assert "20 pieces in 4 pans" in text
    assert "10\u2009945\u00a0g" in text
    assert "lean" in text
    assert 'lang="en"' in text


def test_masses_are_exchanged_in_place(pages: Pages) -> None:
    """Behaviour: the form asks htmx for the page's content and names what to exchange; the script is on this machine.
    Without scripts the same form is a plain one (the test above)."""
    page = pages.get("/formulas/hearth-roll/").text
    form = re.search(r"<form class=\"ask\"[^>]*>", page)
    assert form is not None
    assert 'hx-get="/formulas/hearth-roll/"' in form.group()
    assert 'hx-select="#content" hx-target="#content"' in form.group()
    assert 'id="content"' in page
    script = re.search(r'<script src="([^"]+)"', page)
    assert script is not None
    assert pages.get(script.group(1)).status == 200


@pytest.mark.parametrize("pieces", ["abc", "0", "-3", "1000000", "2.5", "1e3", "٣", "9" * 50, "<b>"])
def test_a_bad_number_of_pieces_keeps_the_page(pages: Pages, pieces: str) -> None:
    """Bad input: status 422, the page with its usual masses, the value kept, one sentence with what would be right."""
    from urllib.parse import quote

    answer = pages.get(f"/formulas/hearth-loaf/?pieces={quote(pieces)}")
    assert answer.status == 422
    assert "must be a whole number from 1 to 999999" in answer.text
    outline = Outline(answer.text)
    (field,) = [a for a in outline.all("input") if a["name"] == "amount"]
    assert (field["value"], field["aria-invalid"]) == (pieces, "true")
    assert "Weigh" in answer.text
    assert "<b>" not in answer.text


def test_a_bad_date_keeps_the_page(pages: Pages) -> None:
    """Bad input: status 422 and how a day is written."""
    answer = pages.get("/orders/?date=2026-02-30")
    assert answer.status == 422
    assert "must be written like 2026-01-15" in answer.text


@pytest.mark.parametrize(
    "path",
    ["/nothing/", "/plan/2026-01-16/", "/plan/2026-13-01/", "/formulas/no-such/", "/formulas/hearth-loaf/?revision=9",
     "/formulas/hearth-loaf/?revision=x", "/static/none.css"],
)  # fmt: skip
def test_what_is_not_there_is_a_page_too(pages: Pages, path: str) -> None:
    """Bad input: status 404, with a way back and within the policy."""
    answer = pages.get(path)
    assert answer.status == 404
    assert 'href="/"' in answer.text
    assert "Content-Security-Policy" in answer.headers


@pytest.mark.parametrize("path", ["/formulas/", "/static/smallhours/base.css"])
def test_only_this_machine_is_answered(pages: Pages, path: str) -> None:
    """Bad input: another host name (a page elsewhere that points its name at this machine) gets 400, also for files."""
    assert Pages(host="bakery.example").get(path).status == 400
    for host in ("localhost:1", "127.0.0.1", "[::1]:8350"):
        assert Pages(host=host).get(path).status == 200


def test_pages_cannot_be_posted_into_or_framed(pages: Pages) -> None:
    """Behaviour: a POST without the form's token is refused; no other page may frame these."""
    from django.test import Client

    client = Client(headers={"host": "localhost"}, enforce_csrf_checks=True)
    assert client.post("/formulas/").status_code == 403
    assert pages.get("/formulas/").headers["X-Frame-Options"] == "DENY"


def test_a_fault_of_the_program_is_a_page(pages: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: status 500 with a sentence and no innards."""
    from smallhours.records import queries

    monkeypatch.setattr(queries, "kept_kitchen", lambda: 1 / 0)
    answer = pages.get("/kitchen/")
    assert answer.status == 500
    assert "fault of the program" in answer.text
    assert "ZeroDivision" not in answer.text


def test_an_empty_store_has_pages(home: Path) -> None:
    """Behaviour: with nothing in the store every section says so, and the bare address leads to the first steps."""
    assert Pages().get("/").headers["Location"] == "/first/"
    for path, words in (
        ("/formulas/", "no formula in this store yet"),
        ("/orders/", "No orders for this day"),
        ("/kitchen/", "no kitchen in this store yet"),
    ):
        answer = Pages().get(path)
        assert answer.status == 200
        assert words in answer.text


@pytest.mark.parametrize(
    ("accept", "lang"),
    [("es-MX,es;q=0.9,en;q=0.8", "es"), ("fr,en;q=0.5,es;q=0.7", "es"), ("de", "en"), ("", "en"), ("es;q=0", "en"),
     (";;;q=x,,", "en")],
)  # fmt: skip
def test_the_browsers_language(home: Path, accept: str, lang: str) -> None:
    """Published: RFC 9110, section 12.5.4: the highest quality wins, q=0 means not acceptable."""
    assert Pages().get("/formulas/", accept_language=accept).headers["Content-Language"] == lang


def test_the_language_chosen_stays(home: Path) -> None:
    """Behaviour: after ?lang=es the next page is Spanish without asking; an unknown language changes nothing."""
    browser = Pages()
    browser.get("/formulas/?lang=es")
    assert browser.get("/kitchen/").headers["Content-Language"] == "es"
    assert browser.get("/kitchen/?lang=xx").headers["Content-Language"] == "es"
