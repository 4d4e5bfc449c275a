"""What is turned away at the door, in the house's own words and never by a 500."""

from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory

from ledger.people.address import address_behind
from ledger.people.models import Member
from ledger.wsgi import application

FORM = "application/x-www-form-urlencoded"


@pytest.mark.parametrize("charset", ["utf-16", "utf-7", "idna", "rot13", "base64", "undefined", "no-such"])
def test_a_form_in_an_odd_encoding_is_refused(db: None, nobody: Client, charset: str) -> None:
    answer = nobody.generic("POST", "/sign-in/", b"username=a", f"{FORM}; charset={charset}")
    assert answer.status_code == 400
    assert b"<h1" in answer.content


@pytest.mark.parametrize("charset", ["utf8", "us-ascii", "ascii", '"utf8"', '"utf-8', "'utf-8'"])
def test_a_form_in_a_spelling_that_no_browser_sends_is_refused_with_all_headers(
    db: None, charset: str
) -> None:
    """Where the mark against forgery is looked for in the form, outside whatever answers for an error."""
    browser = Client(enforce_csrf_checks=True)
    browser.cookies["ledger_csrf"] = "a" * 32
    answer = browser.generic("POST", "/sign-in/", b"username=a", f"{FORM}; charset={charset}")
    _is_refused_in_full(answer)


@pytest.mark.parametrize("charset", ["zip", "undefined", "rot13", "\0", "utf8", "x" * 20_000])
def test_an_address_is_never_read_in_an_odd_encoding(db: None, charset: str) -> None:
    """Asked of the application itself: Django reads the address while it makes the request, outside of all middleware."""
    environ = RequestFactory()._base_environ(
        PATH_INFO="/",
        QUERY_STRING="a=1",
        CONTENT_TYPE=f"text/plain; charset={charset}",
        HTTP_HOST="localhost",
    )
    answer = HttpResponse()

    def start(status: str, headers: list[tuple[str, str]]) -> None:
        answer.status_code = int(status.split()[0])
        for name, value in headers:
            answer[name] = value

    answer.content = b"".join(application(environ, start))
    _is_refused_in_full(answer)


def _is_refused_in_full(answer: Any) -> None:
    assert answer.status_code == 400
    assert b"The ledger could not read that" in answer.content
    assert {"Content-Security-Policy", "Permissions-Policy", "X-Frame-Options"} <= set(answer.headers)


@pytest.mark.parametrize("content_type", [FORM, f"{FORM}; charset=utf-8", f'{FORM}; charset="UTF-8"'])
def test_a_form_as_browsers_send_it_is_let_in(db: None, nobody: Client, content_type: str) -> None:
    assert nobody.post("/sign-in/", data=b"username=a", content_type=content_type).status_code == 200


@pytest.mark.parametrize("path", ["/finds/?q=a%00b", "/taxa/?q=%00", "/finds/match-name/?name=%00"])
def test_nul_in_an_address_is_refused(collector: Member, path: str) -> None:
    browser = Client()
    browser.force_login(collector, backend="django.contrib.auth.backends.ModelBackend")
    assert browser.get(path).status_code == 400


@pytest.mark.parametrize("length", ["999999999999999999999", "9" * 400, "-1", "much"])
def test_a_body_beyond_measure_is_refused_before_it_is_read(db: None, nobody: Client, length: str) -> None:
    assert nobody.post("/sign-in/", data=b"a=b", content_type=FORM, CONTENT_LENGTH=length).status_code == 413


@pytest.mark.parametrize(
    ("forwarded", "proxies", "address"),
    [
        ("", 0, "10.0.0.1"),
        ("9.9.9.9", 0, "10.0.0.1"),
        ("9.9.9.9", 1, "9.9.9.9"),
        ("1.1.1.1, 9.9.9.9", 1, "9.9.9.9"),
        ("1.1.1.1, 9.9.9.9, 10.0.0.2", 2, "9.9.9.9"),
        ("9.9.9.9", 2, "10.0.0.1"),
        ("not an address", 1, "10.0.0.1"),
        ("2001:DB8::1", 1, "2001:db8::1"),
    ],
)
def test_the_address_is_that_which_the_trusted_proxies_saw(
    forwarded: str, proxies: int, address: str
) -> None:
    assert address_behind("10.0.0.1", forwarded, proxies) == address


@pytest.mark.parametrize("number", ["²", "٣", "9223372036854775808", "9" * 30, "9" * 5000, "-1", "1.5", "x"])
@pytest.mark.parametrize(
    "path",
    ["/labels/?voucher={}", "/labels/?q=AN {}", "/vouchers/?q=AN {}", "/finds/?foray={}", "/finds/?q=AN {}"],
)
def test_a_number_that_is_none_finds_nothing_and_breaks_nothing(
    keeper: Member, path: str, number: str
) -> None:
    browser = Client()
    browser.force_login(keeper, backend="django.contrib.auth.backends.ModelBackend")
    assert browser.get(path.format(number)).status_code == 200
