"""The addresses of loans, out and in."""

from django.urls import path

from vouchers.loans import views, views_borrowed

urlpatterns = [
    path("loans/", views.loans, name="loans"),
    path("loans/new/", views.new_loan, name="new-loan"),
    path("loans/items/<int:item_id>/", views.loan_item, name="loan-item"),
    path("loans/items/<int:item_id>/lost/", views.lost_loan_item, name="lost-loan-item"),
    path("loans/photos/<uuid:photo_id>/<str:size>/", views.condition_photo, name="condition-photo"),
    path("loans/<str:number>/", views.loan, name="loan"),
    path("loans/<str:number>/form/<str:paper>/", views.loan_form_pdf, name="loan-form"),
    path("loans/<str:number>/return/", views.return_loan, name="return-loan"),
    path("loans/<str:number>/prolong/", views.prolong_loan, name="prolong-loan"),
    path("loans/<str:number>/remind/", views.remind_borrower, name="remind-borrower"),
    path("borrowed/new/", views_borrowed.new_borrowing, name="new-borrowing"),
    path("borrowed/<str:number>/", views_borrowed.borrowing, name="borrowing"),
    path("borrowed/<str:number>/back/", views_borrowed.give_back, name="give-back"),
    path("borrowed/<str:number>/prolong/", views_borrowed.prolong_borrowing, name="prolong-borrowing"),
]
