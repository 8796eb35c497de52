"""A formula being written: edited in place, new from scratch, from another, or on another's dough."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods

from smallhours.actions.compare_formulas import CompareFormulas, compare_formulas
from smallhours.actions.draft_formula import DraftFormula, draft_formula
from smallhours.actions.known_ingredients import KnownIngredients, known_ingredients
from smallhours.actions.permissions import require
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.shelf import shelf
from smallhours.actions.show_formula import ShownFormula
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.starting import on_dough_of, plain_dough
from smallhours.errors import BadInput, DocumentError, NotFound, Overtaken
from smallhours.records import queries
from smallhours.web.amounts import amount_said, read_amount
from smallhours.web.formula_form.form import Read, placed, read_form, texts_of
from smallhours.web.formula_form.moves import moved
from smallhours.web.formula_form.places import rows_of
from smallhours.web.formula_form.view import FormView

_UNSAVED = "draft"
_LONGEST_REASON = 500


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, slug: str) -> HttpResponse:
    """One formula, to be changed where it stands."""
    require(request.actor, "save formula")
    try:
        kept = queries.kept_formula(slug)
    except NotFound as error:
        raise Http404(str(error)) from None
    known = known_ingredients(request.actor)
    if request.method == "POST":
        return _posted(request, known)
    texts = texts_of(kept.document, known, request.speech) | {"revision": str(kept.number)}
    return show(request, texts, known)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """A formula that is not there yet; ``?copy=`` or ``?base=`` another."""
    require(request.actor, "save formula")
    known = known_ingredients(request.actor)
    if request.method == "POST":
        return _posted(request, known)
    copy, base = request.GET.get("copy", ""), request.GET.get("base", "")
    try:
        if copy:
            formula = queries.kept_formula(copy).document
        elif base:
            formula = on_dough_of(queries.kept_formula(base).document, _UNSAVED, "?")
        else:
            formula = plain_dough(_UNSAVED, "?", request.speech.or_own("part-kind.dough", None).capitalize())
    except NotFound as error:
        raise Http404(str(error)) from None
    texts = texts_of(formula, known, request.speech) | {"id": "", "name": "", "revision": "0"}
    return show(request, texts, known, focus="name")


def show(
    request: HttpRequest,
    texts: Mapping[str, str],
    known: KnownIngredients,
    *,
    faults: Mapping[str, str] | None = None,
    focus: str = "",
    more: dict[str, Any] | None = None,
) -> HttpResponse:
    """The form with these texts; with ``faults`` of a save that was refused."""
    opened = open_draft(texts, known, request)
    told = opened.faults if faults is None else {**opened.faults, **faults}
    english = {name: True for name in opened.english if faults is None or name not in faults}
    view = FormView(texts, told, opened.shown, known, request.speech, opened.kitchen, english)
    context = {
        "form": view,
        "amount_said": "" if opened.shown is None else amount_said(opened.shown, request.speech),
        "shown": opened.shown,
        "focus": focus,
        "is_new": texts.get("revision") == "0",
        **(more or {}),
    }
    status = 422 if faults else 200
    return render(request, "formulas/edit.html", context, status=status)


@dataclass(frozen=True)
class Opened:
    """A draft read and laid open; ``shown`` is None while something is wrong with it."""

    formula: Formula | None
    shown: ShownFormula | None
    faults: Mapping[str, str]
    english: Mapping[str, bool]
    asked: Any
    kitchen: Any = None


def open_draft(texts: Mapping[str, str], known: KnownIngredients, request: HttpRequest) -> Opened:
    """What the form says, laid open for the amount asked for, or everything that is wrong with it."""
    held = shelf()
    asked = read_amount(texts, "", None, known, request.speech)
    named = {**texts, "id": id_of(texts) or _UNSAVED}
    if request.method == "GET" and not named["name"].strip():  # a new formula is laid open before it has a name
        named["name"] = "?"
    read: Read = read_form(named, known, request.speech)
    if read.formula is None:
        return Opened(None, None, read.faults, read.told, asked, held.kitchen)
    faults = {} if not asked.fault else {"amount": asked.fault}
    try:
        shown = draft_formula(DraftFormula(read.formula, asked.command), request.actor, held)
    except DocumentError as error:
        beside, english = placed(error.faults, named, rows_of(named), read.formula.to_json_data())
        return Opened(read.formula, None, beside, english, asked, held.kitchen)
    except (BadInput, NotFound) as error:
        faults["amount"] = str(error)
        try:
            shown = draft_formula(DraftFormula(read.formula), request.actor, held)
        except (BadInput, NotFound):
            shown = None
        return Opened(read.formula, shown, faults, {"amount": True}, asked, held.kitchen)
    return Opened(read.formula, shown, faults, {}, asked, held.kitchen)


def id_of(texts: Mapping[str, str]) -> str:
    """The id that was typed, else one made from the name; empty if the name has no plain letters."""
    return texts.get("id", "").strip() or slugify(texts.get("name", ""))[:60].strip("-")


def _posted(request: HttpRequest, known: KnownIngredients) -> HttpResponse:
    texts = {name: text for name, text in request.POST.items() if name not in ("csrfmiddlewaretoken", "do")}
    do = request.POST.get("do", "")
    if do == "save":
        return _saved(request, texts, known)
    done = moved(texts, do)
    return show(request, done.texts, known, focus=done.focus or texts.pop("focus", ""))


def _saved(request: HttpRequest, texts: dict[str, str], known: KnownIngredients) -> HttpResponse:
    """Save, or say what is wrong; what was typed stays in the form."""
    say, is_new = request.speech.say, texts.get("revision") == "0"
    opened = open_draft(texts, known, request)
    faults, formula = dict(opened.faults), opened.formula
    faults.pop("amount", None)
    if is_new and not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", id_of(texts)[:61]):
        faults["id"] = say("form.id")
    reason = " ".join(texts.get("reason", "").split())
    if len(reason) > _LONGEST_REASON:
        faults["reason"] = say("form.long", most=_LONGEST_REASON, count=len(reason))
    if faults or formula is None:
        return show(request, texts, known, faults=faults)
    made_from = int(texts["revision"]) if re.fullmatch(r"\d{1,7}", texts.get("revision", ""), re.ASCII) else 0
    try:
        saved = save_formula(SaveFormula(formula, reason, made_from), request.actor)
    except DocumentError as error:
        beside, _ = placed(error.faults, texts, rows_of(texts), formula.to_json_data())
        return show(request, texts, known, faults=beside)
    except Overtaken as error:
        if is_new:
            return show(request, texts, known, faults={"id": say("form.id-taken", found=formula.id)})
        return _overtaken(request, texts, known, formula, error)
    return redirect(f"/formulas/{saved.slug}/?" + ("saved=1" if saved.changed else "same=1"))


def _overtaken(
    request: HttpRequest, texts: dict[str, str], known: KnownIngredients, formula: Formula, error: Overtaken
) -> HttpResponse:
    """Somebody was quicker: both versions side by side, hers still in the form, to be saved on top if she wants."""
    compared = compare_formulas(CompareFormulas(formula.id, error.newest, draft=formula), request.actor)
    began = compare_formulas(CompareFormulas(formula.id, error.made_from, error.newest), request.actor)
    more = {"overtaken": error, "compared": compared, "theirs": began}
    response = show(request, {**texts, "revision": str(error.newest)}, known, more=more)
    response.status_code = 409
    return response
