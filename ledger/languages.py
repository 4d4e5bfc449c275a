"""The language a page is in: the one the member chose, else the one chosen in this browser, else as the browser asks."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.templatetags.static import static
from django.utils import translation
from django.utils.cache import patch_vary_headers

Answer = Callable[[HttpRequest], HttpResponse]


class AsTheBrowserAsks:
    """The language of this browser's cookie, or of its own settings; the club's where both name none of ours.

    Stands outside of whatever answers with a page of its own, so that a refusal is in it too.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with translation.override(translation.get_language_from_request(request)):
            answer = self.get_response(request)
        if answer.get("Content-Type", "").startswith("text/html"):
            patch_vary_headers(answer, ("Accept-Language", "Cookie"))
        return answer


class AsTheMemberChose:
    """The language of the signed-in member. It is kept in a cookie too, for the pages that are made without knowing them."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        chosen = getattr(request.user, "language", "") if request.user.is_authenticated else ""
        if chosen not in dict(settings.LANGUAGES):
            return self.get_response(request)
        with translation.override(chosen):
            answer = self.get_response(request)
        # Not over what the page itself has the browser keep: it may be another just chosen.
        if settings.LANGUAGE_COOKIE_NAME not in answer.cookies and _of_browser(request) != chosen:
            remember(answer, chosen)
        return answer


def _of_browser(request: HttpRequest) -> str | None:
    return request.COOKIES.get(settings.LANGUAGE_COOKIE_NAME)


def page_language() -> str:
    """The language that is active, as an html tag says it: `en-GB`, `de`."""
    language, _, country = (translation.get_language() or settings.LANGUAGES[0][0]).partition("-")
    return f"{language}-{country.upper()}" if country else language


def language_asked() -> str:
    """The language that is active as the query of an address whose answer cannot know it; none for English."""
    language = translation.get_language()
    return f"?language={language}" if language in settings.TRANSLATED_INTO else ""


def asked_language(request: HttpRequest) -> str:
    """What such a query asks for, English where it asks for none of ours."""
    language = request.GET.get("language", "")
    return language if language in settings.TRANSLATED_INTO else settings.LANGUAGES[0][0]


def script_words_address() -> str:
    """Where the browser finds what scripts say in the language that is active; empty for English, which they have."""
    language = translation.get_language()
    return static(f"words/{language}.js") if language in settings.TRANSLATED_INTO else ""


def remember(answer: HttpResponse, language: str) -> None:
    """Have the browser keep its language, for a year."""
    answer.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        language,
        max_age=settings.LANGUAGE_COOKIE_AGE,
        secure=settings.LANGUAGE_COOKIE_SECURE,
        httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
        samesite=settings.LANGUAGE_COOKIE_SAMESITE,
    )


def forget(answer: HttpResponse) -> None:
    """Have the browser ask by its own settings again."""
    answer.delete_cookie(settings.LANGUAGE_COOKIE_NAME, samesite=settings.LANGUAGE_COOKIE_SAMESITE)


def of_the_club() -> translation.override:
    """Within, what is said is in the club's own language, whoever asks: what is printed and stays with the specimens."""
    return translation.override(settings.LANGUAGE_CODE)


def name_of(code: str) -> str:
    """What a language calls itself; its code where nobody knows."""
    try:
        called: str = translation.get_language_info(code)["name_local"]
    except KeyError:
        return code
    return called.capitalize()
