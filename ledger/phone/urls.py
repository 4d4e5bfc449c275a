"""Addresses of the phone: the pages it keeps, and what its outbox talks to."""

from django.urls import include, path

from ledger.phone import table, views

urlpatterns = [
    path("", include("ledger.phone.urls_shell")),
    path("phone/hello", views.hello, name="phone-hello"),
    path("phone/reference.json", views.reference, name="phone-reference"),
    path("phone/finds.json", views.finds_json, name="phone-own-finds"),
    path("phone/finds", views.finds, name="phone-finds"),
    path("phone/photos/<str:sha256>", views.photo, name="phone-photo"),
    path("phone/table/<int:foray_id>.json", table.table_list, name="phone-table-list"),
    path("phone/numbers", views.take_numbers, name="phone-numbers"),
    path("phone/numbers/<uuid:block_id>/return", views.return_numbers, name="phone-numbers-return"),
]
