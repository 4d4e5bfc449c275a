"""Addresses of the installable page. The worker lies at the root, since its reach ends at its own folder."""

from django.urls import path

from ledger.phone import shell

urlpatterns = [
    path("worker.js", shell.worker, name="phone-worker"),
    path("ledger.webmanifest", shell.manifest, name="phone-manifest"),
    path("phone/form/", shell.kept_page, {"name": "phone-form"}, name="phone-form"),
    path("phone/outbox/", shell.kept_page, {"name": "phone-outbox"}, name="phone-outbox"),
    path("phone/table/", shell.kept_page, {"name": "phone-table"}, name="phone-table"),
    path("phone/no-signal/", shell.kept_page, {"name": "phone-no-signal"}, name="phone-no-signal"),
]
