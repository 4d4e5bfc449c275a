"""The addresses of leave to cut."""

from django.urls import path

from vouchers.sampling import views

urlpatterns = [
    path("sampling/", views.sampling, name="sampling"),
    path("sampling/ask/", views.ask_to_sample, name="ask-to-sample"),
    path("sampling/<str:number>/", views.sampling_leave, name="sampling-leave"),
    path("sampling/<str:number>/decision/", views.decide_leave, name="decide-leave"),
    path("sampling/<str:number>/cut/", views.note_cut, name="note-cut"),
    path("sampling/<str:number>/result/", views.note_result, name="note-result"),
]
