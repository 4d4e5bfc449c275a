from django.urls import path

from ledger.taxa import views

urlpatterns = [
    path("taxa/", views.taxa, name="taxa"),
    path("taxa/<slug:slug>/", views.taxon, name="taxon"),
    path("taxa/<slug:slug>/ranges/", views.enter_range, name="enter-range"),
    path("taxa/<slug:slug>/ranges/<int:range_id>/end/", views.end_range, name="end-range"),
    path("taxa/<slug:slug>/names/", views.add_name, name="add-club-name"),
    path("taxa/<slug:slug>/names/<int:name_id>/end/", views.end_name, name="end-club-name"),
    path("taxa/<slug:slug>/sensitive/", views.mark_sensitive, name="mark-sensitive"),
]
