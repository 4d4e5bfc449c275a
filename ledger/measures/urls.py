"""Addresses of measuring: a photo's page, what its script asks, and what is done with what was measured."""

from django.urls import URLPattern, URLResolver, path

from ledger.measures import views

urlpatterns: list[URLPattern | URLResolver] = [
    path("photos/<uuid:photo_id>/measure/", views.measure_photo, name="measure-photo"),
    path("photos/<uuid:photo_id>/measure/try/", views.measure_try, name="measure-try"),
    path("photos/<uuid:photo_id>/measure/keep/", views.measure_keep, name="measure-keep"),
    path("photos/<uuid:photo_id>/measure/line/", views.measure_line, name="measure-line"),
    path("photos/<uuid:photo_id>/measure/card/", views.measure_card, name="measure-card"),
    path("photos/<uuid:photo_id>/measure/together/", views.measure_together, name="measure-together"),
    path("photos/<uuid:photo_id>/measure/reading/", views.measure_reading, name="measure-reading"),
    path("paper/scale-card/<str:kind>/line/", views.own_line, name="own-line"),
    path("paper/scale-card/<str:kind>/<str:paper>.pdf", views.scale_card, name="scale-card"),
    path("measurements/<uuid:measurement_id>/withdraw/", views.withdraw, name="withdraw-measurement"),
]
