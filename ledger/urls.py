"""The whole project's addresses, a line per room."""

from django.urls import include, path

from ledger import pages

handler500 = "ledger.busy.failed"
urlpatterns = [
    path("", pages.front, name="front"),
    path("", include("ledger.people.urls")),
    path("", include("ledger.club.urls")),
    path("", include("ledger.backup.urls")),
    path("", include("ledger.forays.urls")),
    path("", include("ledger.taxa.urls")),
    # Before the finds: there any word behind a photo is the size of a copy.
    path("", include("ledger.clocks.urls")),
    path("", include("ledger.measures.urls")),
    path("", include("ledger.spores.urls")),
    path("", include("ledger.search.urls")),
    path("", include("ledger.finds.urls")),
    path("", include("ledger.bench.urls")),
    path("", include("ledger.phone.urls")),
    path("", include("ledger.slips.urls")),
    path("", include("ledger.pocket.urls")),
    path("", include("ledger.handing_on.urls")),
    path("", include("ledger.taking_in.urls")),
    path("", include("ledger.year.urls")),
    path("", include("ledger.reports.urls")),
    path("", include("vouchers.urls")),
]
