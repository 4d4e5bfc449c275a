from django.urls import path

from ledger.people import views

urlpatterns = [
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", views.SignOut.as_view(), name="sign-out"),
    path("join/", views.invitation_needed, name="invitation-needed"),
    path("join/<str:token>/", views.join, name="join"),
    path("me/", views.me, name="me"),
    path("language/", views.choose_language, name="choose-language"),
    path("me/password/", views.change_password, name="change-password"),
    path("people/", views.people, name="people"),
    path("people/invitations/<uuid:invitation_id>/end/", views.end_invitation, name="end-invitation"),
    path("people/<int:member_id>/role/", views.change_role, name="change-role"),
    path("people/<int:member_id>/end/", views.end_membership, name="end-membership"),
    path("people/<int:member_id>/renew/", views.renew_membership, name="renew-membership"),
    path("people/<int:member_id>/new-password/", views.new_password_link, name="new-password-link"),
    path("new-password/<int:member_id>/<str:token>/", views.new_password, name="new-password"),
]
