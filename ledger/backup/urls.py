from django.urls import path

from ledger.backup import views

urlpatterns = [path("club/backups/", views.backups, name="backups")]
