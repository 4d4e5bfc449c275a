from django.urls import path

from ledger.slips import views

urlpatterns = [
    path("paper/", views.data_slips, name="data-slips"),
    path("paper/<uuid:block_id>/slips.pdf", views.slip_sheet, name="slip-sheet"),
    path("paper/<uuid:block_id>/return/", views.return_slips, name="return-slips"),
    # Short, since the code on a slip holds it.
    path("q/", views.quick_entry, name="quick-entry"),
    path("q/<str:number>", views.quick_number, name="slip-number"),
]
