"""Addresses of the finds: the log form and its fragments, photos, and each find's page."""

from django.urls import URLPattern, URLResolver, path

from ledger.finds import views, views_log, views_photos

urlpatterns: list[URLPattern | URLResolver] = [
    path("finds/log/", views_log.log_find, name="log-find"),
    path("finds/check/", views_log.check_find, name="check-find"),
    path("finds/match-name/", views_log.match_name, name="match-name"),
    path("finds/read-place/", views_log.read_place, name="read-place"),
    path("photos/<uuid:photo_id>/<str:size>/", views_photos.photo_file, name="photo-file"),
    path("finds/<uuid:find_id>/", views.find_page, name="find-page"),
    path("finds/<uuid:find_id>.json", views.find_json, name="find-json"),
    path("finds/<uuid:find_id>/amend/", views_log.amend_find, name="amend-find"),
    path("finds/<uuid:find_id>/finder/", views.change_finder, name="change-finder"),
    path("finds/<uuid:find_id>/answer/", views.answer_question, name="answer-question"),
    path(
        "finds/<uuid:find_id>/versions/<int:version_id>/let-go/", views.let_version_go, name="let-version-go"
    ),
    path("finds/<uuid:find_id>/open-place/", views.open_place, name="open-place"),
]
