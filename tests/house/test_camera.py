"""The camera is allowed on our own pages, and everything a page does not use is not."""

from django.test import Client


def test_the_camera_and_the_place_are_for_our_own_pages_and_the_rest_for_none(nobody: Client) -> None:
    policy = nobody.get("/stocktake/walk/no-such-page").headers["Permissions-Policy"]
    assert "camera=(self)" in policy and "geolocation=(self)" in policy
    assert "microphone=()" in policy
