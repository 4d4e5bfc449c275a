from django.urls import path

from vouchers.preparation import views

urlpatterns = [
    path("preparation/", views.preparation, name="preparation"),
    path("preparation/drier/", views.put_in_drier, name="put-in-drier"),
    path("preparation/runs/<int:run_id>/", views.drying_run, name="drying-run"),
    path("preparation/trays/<int:tray_number>/", views.tray, name="tray"),
    path("preparation/finds/<uuid:find_id>/", views.preparation_of_find, name="preparation-of-find"),
    path("preparation/steps/<int:step_id>/withdraw/", views.withdraw_step, name="withdraw-step"),
]
