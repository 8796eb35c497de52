"""Addresses of orders, kitchen and the first steps."""

from __future__ import annotations

from django.urls import path

from smallhours.web.views import kitchen, order_table, orders

urlpatterns = [
    path("orders/", orders.of_a_day, name="orders"),
    path("orders/week/", orders.of_a_week, name="orders-week"),
    path("orders/standing/", orders.standing, name="orders-standing"),
    path("orders/days-off/", orders.days_off, name="orders-days-off"),
    path("orders/table/", order_table.table, name="orders-table"),
    path("orders/table/confirm/", order_table.confirm, name="orders-confirm"),
    path("kitchen/", kitchen.kitchen, name="kitchen"),
]
