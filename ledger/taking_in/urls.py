from django.urls import path

from ledger.taking_in import views

urlpatterns = [
    path("taking-in/", views.taking_in, name="taking-in"),
    path("taking-in/<uuid:taking_id>/", views.taken_file, name="taken-file"),
    path("taking-in/<uuid:taking_id>/columns/", views.taken_columns, name="taken-columns"),
    path("taking-in/<uuid:taking_id>/sheet/", views.taken_sheet, name="taken-sheet"),
    path("taking-in/<uuid:taking_id>/accept/", views.accept_taken, name="accept-taken"),
    path("taking-in/<uuid:taking_id>/undo/", views.undo_taken, name="undo-taken"),
    path("taking-in/<uuid:taking_id>/forget/", views.forget_taken, name="forget-taken"),
]
