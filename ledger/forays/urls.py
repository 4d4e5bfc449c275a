from django.urls import path

from ledger.forays import views

urlpatterns = [
    path("forays/", views.forays, name="forays"),
    path("forays/new/", views.new_foray, name="new-foray"),
    path("forays/<int:foray_id>/", views.foray, name="foray"),
    path("forays/<int:foray_id>/change/", views.change_foray, name="change-foray"),
]
