from django.urls import path

from ledger.handing_on import views

urlpatterns = [
    path("handing-on/", views.handing_on, name="handing-on"),
    path("handing-on/people/", views.agreed_names, name="agreed-names"),
    path("handing-on/people/<int:key>/end/", views.end_agreed_name, name="end-agreed-name"),
    path("handing-on/<uuid:handing_id>/", views.handing, name="handing"),
    path("handing-on/<uuid:handing_id>/state.json", views.handing_state, name="handing-state"),
    path("handing-on/<uuid:handing_id>/file/", views.handing_file, name="handing-file"),
]
