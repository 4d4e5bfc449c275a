"""Texts go out compressed, photos as they are, and no two answers of a page are of one length."""

import gzip

from django.http import HttpResponse, JsonResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.test import Client, RequestFactory

from ledger.middleware import Compressor

TEXT = "bracket on a log " * 200


def _answer(response: HttpResponseBase) -> HttpResponseBase:
    request = RequestFactory().get("/", headers={"Accept-Encoding": "gzip, br"})
    return Compressor(lambda _: response)(request)


def test_a_page_goes_out_compressed_and_whole() -> None:
    answer = _answer(HttpResponse(TEXT))
    assert answer["Content-Encoding"] == "gzip"
    assert gzip.decompress(answer.content).decode() == TEXT
    assert "Accept-Encoding" in answer["Vary"]


def test_json_goes_out_compressed() -> None:
    assert _answer(JsonResponse({"said": TEXT}))["Content-Encoding"] == "gzip"


def test_a_photo_and_a_streamed_file_stay_as_they_are() -> None:
    assert "Content-Encoding" not in _answer(HttpResponse(TEXT, content_type="image/jpeg"))
    assert "Content-Encoding" not in _answer(StreamingHttpResponse([TEXT], content_type="text/plain"))


def test_the_length_of_a_compressed_page_does_not_tell_what_is_in_it(db: None) -> None:
    lengths = {len(Client(headers={"Accept-Encoding": "gzip"}).get("/sign-in/").content) for _ in range(30)}
    assert len(lengths) > 5
