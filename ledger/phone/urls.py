"""Addresses of the phone."""

from django.urls import include, path

urlpatterns = [
    path("", include("ledger.phone.urls_shell")),
]
