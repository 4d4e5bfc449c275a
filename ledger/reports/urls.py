"""Addresses of the reports; each has a page, and a PDF of the same choices."""

from django.urls import path

from ledger.reports import views

urlpatterns = [
    path("reports/", views.reports, name="reports"),
    path("reports/foray/<int:foray_id>/", views.owner_report, name="owner-report"),
    path("reports/foray/<int:foray_id>/print.pdf", views.owner_report_pdf, name="owner-report-pdf"),
    path("reports/year/", views.year_report, name="year-report"),
    path("reports/year/print.pdf", views.year_report_pdf, name="year-report-pdf"),
    path("reports/member/<int:member_id>/", views.own_list, name="own-list"),
    path("reports/member/<int:member_id>/print.pdf", views.own_list_pdf, name="own-list-pdf"),
]
