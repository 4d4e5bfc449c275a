"""A browser without a picture: it keeps its cookies, opens pages over the net, fills in their forms and sends them."""

import http.client
import json
import time
from datetime import UTC, datetime
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode, urljoin, urlsplit
from uuid import uuid4

from tests.vouchers.soak.carrying import CutOff, Refused
from tests.vouchers.soak.pages import Answer, form_of, values_of

WAITS_S = 120
# The database gave up waiting for others: nothing was written, and whoever pressed the button presses it again.
BUSY, BUSY_FOR_S = 503, 1
_NO_ANSWER = (http.client.HTTPException, ConnectionError, TimeoutError)


class HttpBrowser:
    """One session. Each request has a connection of its own; where it breaks, CutOff is raised."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.cookies: dict[str, str] = {}
        self.seen: dict[str, list[dict[str, Any]]] = {}
        self.shown = Answer(0, "/", "text/html", b"<p>")

    def open(self, path: str) -> Answer:
        return self._go("GET", path)

    def send(self, fill: dict[str, Any], *, action: str = "", button: str = "") -> Answer:
        """Fill in the form of the page that is shown and send it. `button`: name=value of one that says what is meant."""
        form = form_of(self.shown.tree, set(fill), action)
        to = urljoin(self.shown.path, form.get("action") or self.shown.path)
        return self._go(
            "POST", to, urlencode(values_of(form, fill, button)), "application/x-www-form-urlencoded"
        )

    def walk(self, walk: str, box: int, codes: list[str]) -> None:
        """Send what a phone saw in a box. Cut off, it sends the same again, as the phone does: under the same keys."""
        if walk not in self.seen:
            at = datetime.now(UTC).isoformat()
            self.seen[walk] = [
                {"id": str(uuid4()), "text": code, "place": box, "at": at, "taken_back": False}
                for code in codes
            ]
        hello = self.open("/phone/hello").json()
        message = {
            "member": hello["member"],
            "sent_at": datetime.now(UTC).isoformat(),
            "sightings": self.seen[walk],
        }
        path = walk.rstrip("/") + "/sightings"
        answer = self._go("POST", path, json.dumps(message), "application/json", hello["csrf"])
        if answer.status != 200 or answer.json()["refused"]:
            raise Refused(f"{answer.status} {answer.body.decode()}")

    def _go(self, method: str, path: str, body: str = "", kind: str = "", csrf: str = "") -> Answer:
        for _ in range(5):
            answer, to = self._ask(method, path, body, kind, csrf)
            if not to:
                if answer.kind.startswith("text/html"):
                    self.shown = answer
                return answer
            method, path, body, kind = "GET", urljoin(path, to), "", ""
        raise AssertionError(f"{path} leads round in circles")

    def _ask(self, method: str, path: str, body: str, kind: str, csrf: str) -> tuple[Answer, str]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=WAITS_S)
        headers = {
            "Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
            "Referer": f"http://127.0.0.1:{self.port}{self.shown.path}",
            "Connection": "close",
        }
        if kind:
            headers["Content-Type"] = kind
        if csrf:
            headers["X-CSRFToken"] = csrf
        try:
            line.request(method, path, body or None, headers)
            came = line.getresponse()
            read = came.read()
        except _NO_ANSWER as trouble:
            raise CutOff(type(trouble).__name__) from trouble
        finally:
            line.close()
        for header in came.headers.get_all("Set-Cookie", []):
            self.cookies |= {name: morsel.value for name, morsel in SimpleCookie(header).items()}
        if came.headers.get("Content-Type") == "application/pdf" and not read.startswith(b"%PDF"):
            raise AssertionError(f"{path} gave a PDF that is none")
        if came.status == BUSY:
            time.sleep(BUSY_FOR_S)
            raise CutOff("busy")
        if came.status >= 500:
            raise AssertionError(
                f"{method} {path} answered {came.status}: {read[:2000].decode(errors='replace')}"
            )
        to = came.headers.get("Location", "") if came.status in (301, 302, 303) else ""
        shown = urlsplit(path).path + (f"?{query}" if (query := urlsplit(path).query) else "")
        return Answer(came.status, shown, came.headers.get("Content-Type", ""), read), to
