"""Address of a photographed clock."""

from django.urls import URLPattern, URLResolver, path

from ledger.clocks import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("photos/<uuid:photo_id>/clock/", views.clock_photo, name="clock-photo"),
]
