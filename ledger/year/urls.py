"""Addresses of looking back."""

from django.urls import path

from ledger.year import views

urlpatterns = [
    path("year/", views.year, name="the-year"),
    path("year/map/", views.finds_map, name="map"),
    path("year/map/cells.json", views.map_cells, name="map-cells"),
    path("year/season/", views.season, name="season"),
    path("year/checklist/", views.checklist, name="checklist"),
    path("year/measurements/", views.measured, name="measured"),
    path("year/measurements/<slug:slug>/", views.measured_taxon, name="measured-taxon"),
    path("year/measurements/<slug:slug>/adopt", views.adopt_range, name="adopt-range"),
]
