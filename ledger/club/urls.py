from django.urls import path

from ledger.club import views

urlpatterns = [path("club/", views.club, name="club")]
