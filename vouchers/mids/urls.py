from django.urls import path

from vouchers.mids import views

urlpatterns = [path("completeness/", views.nearly_there, name="nearly-there")]
