from django.urls import path

from vouchers.permits import views

urlpatterns = [
    path("permits/", views.permits, name="permits"),
    path("permits/new/", views.new_permit, name="new-permit"),
    path("permits/<int:permit_id>/", views.permit, name="permit"),
    path("permits/<int:permit_id>/change/", views.change_permit, name="change-permit"),
    path("permits/<int:permit_id>/link/", views.link_permit, name="link-permit"),
    path("permits/uses/<int:use_id>/end/", views.end_permit_use, name="end-permit-use"),
]
