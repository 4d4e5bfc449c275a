from django.urls import path

from vouchers.printing import views as printing
from vouchers.register import views as register

urlpatterns = [
    path("vouchers/", register.vouchers, name="vouchers"),
    path("finds/<uuid:find_id>/accession/", register.accession, name="accession"),
    path("labels/", printing.labels, name="labels"),
]
