"""Addresses of the pages of formulas."""

from __future__ import annotations

from django.urls import path

from smallhours.web.views import formula_draft, formula_edit, formula_swap, formula_try, formula_versions, formulas

urlpatterns = [
    path("formulas/", formulas.every, name="formulas"),
    path("formulas/<slug:slug>/", formulas.one, name="formulas-one"),
    path("formulas/<slug:slug>/edit/", formula_edit.edit, name="formulas-edit"),
    path("formulas/<slug:slug>/try/", formula_try.page, name="formulas-try"),
    path("formulas/<slug:slug>/try/moved/", formula_try.moved, name="formulas-try-moved"),
    path("formulas/<slug:slug>/swap/", formula_swap.page, name="formulas-swap"),
    path("formulas/<slug:slug>/versions/", formula_versions.page, name="formulas-versions"),
    path("formula-new/", formula_edit.new, name="formulas-new"),
    path("formula-draft/", formula_draft.draft, name="formulas-draft"),
]
