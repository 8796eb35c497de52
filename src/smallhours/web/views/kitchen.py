"""The page of the kitchen."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from smallhours.errors import NotFound
from smallhours.records import queries


def kitchen(request: HttpRequest) -> HttpResponse:
    """What plans are made for: equipment, people, temperatures."""
    try:
        kept = queries.kept_kitchen()
    except NotFound:
        kept = None
    context = {"kept": kept, "kitchen": kept.document if kept else None}
    if kept:
        context["zone"] = kept.document.zone()
    return render(request, "kitchen/kitchen.html", context)
