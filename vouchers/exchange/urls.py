"""The addresses of exchange."""

from django.urls import path

from vouchers.exchange import views

urlpatterns = [
    path("exchange/", views.exchange, name="exchange"),
    path("exchange/new/", views.new_sending, name="new-sending"),
    path("exchange/told/", views.told_of_name, name="told-of-name"),
    path("exchange/<str:number>/", views.sending, name="sending"),
]
