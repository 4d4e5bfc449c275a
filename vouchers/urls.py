"""The addresses of the collection, a line per page, room by room."""

from django.urls import include, path

from vouchers.parts import views as parts
from vouchers.printing import views as printing
from vouchers.register import views as register

urlpatterns = [
    path("", include("vouchers.preparation.urls")),
    path("", include("vouchers.mids.urls")),
    path("", include("vouchers.permits.urls")),
    path("", include("vouchers.loans.urls")),
    path("", include("vouchers.exchange.urls")),
    path("", include("vouchers.sampling.urls")),
    path("vouchers/", register.vouchers, name="vouchers"),
    path("vouchers/<str:number>/", register.voucher, name="voucher"),
    path("vouchers/<str:number>/deaccession/", register.deaccession, name="deaccession"),
    path("vouchers/<str:number>/part/", parts.make_part, name="make-part"),
    path("parts/<int:part_id>/end/", parts.end_part, name="end-part"),
    path("accession/", register.without_number, name="without-number"),
    path("finds/<uuid:find_id>/accession/", register.accession, name="accession"),
    path("finds/<uuid:find_id>/split/", parts.split_find, name="split-find"),
    path("vouchers/book/<int:year>/", register.book, name="register-book"),
    path("labels/", printing.labels, name="labels"),
    path("labels/places/", printing.place_labels, name="place-labels"),
    path("", include("vouchers.store.urls")),
]
