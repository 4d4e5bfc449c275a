from django.urls import path

from ledger.pocket import views

urlpatterns = [
    path("pocket/", views.pocket_page, name="pocket-page"),
    path("pocket/sheet.pdf", views.pocket_sheet, name="pocket-sheet"),
]
