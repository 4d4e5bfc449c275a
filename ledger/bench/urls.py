"""Addresses of the bench."""

from django.urls import URLPattern, URLResolver, path

from ledger.bench import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("bench/", views.bench, name="bench"),
    path("bench/<uuid:find_id>/", views.bench_find, name="bench-find"),
    path("bench/<uuid:find_id>/settle/", views.settle, name="settle"),
    path("bench/<uuid:find_id>/send-back/", views.send_back, name="send-back"),
    path("bench/<uuid:find_id>/redetermine/", views.redetermine, name="redetermine"),
]
