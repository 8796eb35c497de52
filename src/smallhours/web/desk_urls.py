"""Addresses of orders, kitchen and the first steps."""

from __future__ import annotations

from django.urls import path

from smallhours.web.views import first, kitchen, order_table, orders, tour

urlpatterns = [
    path("orders/", orders.of_a_day, name="orders"),
    path("orders/week/", orders.of_a_week, name="orders-week"),
    path("orders/standing/", orders.standing, name="orders-standing"),
    path("orders/days-off/", orders.days_off, name="orders-days-off"),
    path("orders/table/", order_table.table, name="orders-table"),
    path("orders/table/confirm/", order_table.confirm, name="orders-confirm"),
    path("kitchen/", kitchen.kitchen, name="kitchen"),
    path("kitchen/text/", kitchen.as_text, name="kitchen-text"),
    path("kitchen/<slug:key>/", kitchen.section, name="kitchen-section"),
    path("first/", first.first, name="first"),
    path("first/demo/", first.demo, name="first-demo"),
    path("first/kitchen/", first.kitchen, name="first-kitchen"),
    path("first/formula/", first.formula, name="first-formula"),
    path("first/order/", first.order, name="first-order"),
    path("first/plan/", first.plan, name="first-plan"),
    path("tour/", tour.tour, name="tour"),
]
