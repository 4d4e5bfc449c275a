"""Addresses of the list of finds and of its export."""

from django.urls import URLPattern, URLResolver, path

from ledger.search import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("finds/", views.finds, name="finds"),
    path("finds/shown.csv", views.finds_csv, name="finds-csv"),
]
