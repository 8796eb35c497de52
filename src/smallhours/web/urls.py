"""Addresses of the pages."""

from __future__ import annotations

import datetime as dt

from django.urls import path, register_converter

from smallhours.web import desk_urls, formula_urls
from smallhours.web.views import certificate, faults, house, plan, ribbons, sign_in, tablets


class DayConverter:
    """A date like 2026-01-15."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> dt.date:
        """The date; a ValueError makes the address unknown."""
        return dt.date.fromisoformat(value)

    def to_url(self, value: dt.date) -> str:
        """The date as it stands in an address."""
        return value.isoformat()


register_converter(DayConverter, "day")

urlpatterns = [
    path("", plan.newest, name="plan"),
    path("plan/<day:night>/", plan.overview, name="plan-overview"),
    path("plan/<day:night>/people/", plan.people, name="plan-people"),
    path("plan/<day:night>/ovens/", plan.ovens, name="plan-ovens"),
    path("plan/<day:night>/weigh-up/", plan.weigh_up, name="plan-weigh"),
    *formula_urls.urlpatterns,
    *desk_urls.urlpatterns,
    path("sign-in/", sign_in.desk, name="sign-in"),
    path("sign-out/", sign_in.out, name="sign-out"),
    path("me/", sign_in.me, name="me"),
    path("pair/", tablets.pair, name="tablet-pair"),
    path("tablet/", tablets.names, name="tablet"),
    path("tablet/<int:person>/", tablets.pin, name="tablet-pin"),
    path("people/", house.people, name="house-people"),
    path("tablets/", house.tablets, name="house-tablets"),
    path("log/", house.log, name="house-log"),
    path("backup/", house.backup, name="house-backup"),
    path("certificate/", certificate.root, name="certificate"),
    path("ribbons.css", ribbons.css, name="ribbons-css"),
]

handler400 = faults.bad_request
handler404 = faults.not_found
handler500 = faults.broken
