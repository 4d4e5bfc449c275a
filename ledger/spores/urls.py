"""Addresses of measured spores."""

from django.urls import path

from ledger.spores import views

urlpatterns = [
    path("finds/<uuid:find_id>/spores/", views.spores, name="spores"),
    path("finds/<uuid:find_id>/spores.json", views.spores_json, name="spores-json"),
    path("spores/<uuid:set_id>/withdraw/", views.withdraw, name="withdraw-spores"),
    path("spores/<uuid:set_id>/use/", views.use, name="use-spores"),
]
