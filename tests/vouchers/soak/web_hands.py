"""Hands that work on the pages of the ledger: they read how a find stands, and fill in and send the real forms.

The same hands hold a plain browser over the net (`http_browser.py`) or a Chromium (`chromium.py`).
"""

import re
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Protocol

from tests.vouchers.soak import plan
from tests.vouchers.soak.carrying import CutOff, Refused
from tests.vouchers.soak.pages import Answer, number_of, shares_of, standing_of
from tests.vouchers.soak.plan import Next, Standing

SETTLED_BY = {"Missing": "in place", "Misplaced": "noted", "Seen twice": "same", "Unknown": "no specimen"}


class Browser(Protocol):
    shown: Answer

    def open(self, path: str) -> Answer: ...

    def send(self, fill: dict[str, Any], *, action: str = "", button: str = "") -> Answer: ...

    def walk(self, walk: str, box: int, codes: list[str]) -> None: ...


class WebHands:
    """One person before a browser. `boxes`: name of a place -> its number; `began`: when the soak began, as the house writes
    times into boxes; `papers` counts PDFs that came, by accession number."""

    def __init__(self, browser: Browser, boxes: Mapping[str, int], began: str) -> None:
        self.browser, self.boxes = browser, dict(boxes)
        self.began = datetime.fromisoformat(began)
        self.papers: Counter[str] = Counter()
        # Labels that were made and did not come: the record says made, the hands are empty.
        self.owed: set[str] = set()
        self._vouchers: dict[str, str] = {}

    def sign_in(self, name: str, password: str) -> None:
        while not self._is_in(name, password):
            time.sleep(0.2)

    def _is_in(self, name: str, password: str) -> bool:
        try:
            # Who is in already, as the answer to the password alone was lost, is led on.
            if self.browser.open("/sign-in/").path.startswith("/sign-in/"):
                self.browser.send({"username": name, "password": password})
        except CutOff:
            return False
        return not self.browser.shown.path.startswith("/sign-in/")

    # Looking.

    def look(self, find: str) -> Standing:
        stands = self._look(find)
        if not stands.parts or "" in stands.parts:
            return stands
        # Its packet has ended: either all of it has, or it was split.
        shares = shares_of(self.browser.open(f"/finds/{find}/").tree)
        return replace(stands, shares=tuple(self._look(share) for share in shares))

    def _look(self, find: str) -> Standing:
        if find not in self._vouchers:
            number, address = number_of(self.browser.open(f"/finds/{find}/").tree)
            if not number:
                return Standing(find)
            self._vouchers[find] = address
        stands = standing_of(find, self._voucher(find).tree, self.boxes)
        return replace(stands, labels=frozenset()) if stands.number in self.owed else stands

    def _voucher(self, find: str) -> Answer:
        address = self._vouchers[find]
        return self.browser.shown if self.browser.shown.path == address else self.browser.open(address)

    # Doing.

    def do(self, step: Next) -> None:
        acts = {
            plan.ACCESSION: self._accession,
            plan.PREPARE: self._prepare,
            plan.ADD: self._add,
            plan.LABEL: self._label,
            plan.STORE: self._store,
            plan.SPLIT: self._split,
            plan.SEND: self._send,
            plan.LEND: self._lend,
            plan.TAKE_BACK: self._take_back,
            plan.DEACCESSION: self._deaccession,
        }
        acts[step.step](step)

    def press(self, fill: dict[str, Any], said: str, *, action: str = "", button: str = "") -> Answer:
        """Send the form that is shown; Refused with what the page tells where it does not tell what it should."""
        try:
            answer = self.browser.send(fill, action=action, button=button)
        except LookupError as missing:
            raise Refused(f"{missing}: {self.browser.shown.said}") from missing
        if answer.status != 200 or not re.search(said, answer.said):
            raise Refused(f"{answer.status} {answer.said}")
        return answer

    def _accession(self, step: Next) -> None:
        self.browser.open(f"/finds/{step.of.find}/")
        self.press({}, "is accessioned as", action="/accession/")

    def _prepare(self, step: Next) -> None:
        first = len(plan.FIRST) - len(step.of.steps)
        at = {"at": f"{self.began - timedelta(hours=first):%Y-%m-%dT%H:%M}"} if first > 0 else {}
        why = {"why_not": "sample of the soak"}
        if step.what == "drier in":
            self.browser.open(f"/preparation/drier/?find={step.of.find}")
            load = {"finds": [step.of.find], "run": "new", "drier": "web drier"}
            self.press({**load, **why, **at}, "in the drier", button="do=drier")
        else:
            page = self.browser.open(f"/preparation/finds/{step.of.find}/").tree
            why = why if page.xpath("//form//input[@name='why_not']") else {}
            self.press({"do": step.what, **why, **at}, "It is on record")

    def _add(self, step: Next) -> None:
        self.browser.open(f"/vouchers/{_slug(step.of)}/part/")
        self.press({"kind": step.what, "note": "made in the soak"}, "is on the record")

    def _label(self, step: Next) -> None:
        number = step.of.number
        to = self._voucher(step.of.find).tree.xpath(
            "//p[contains(@class, 'actions')]/a[text()='Labels']/@href"
        )[0]
        self.browser.open(to)
        sheets = ["labels-96x92", "duplicates"] if "D1" in step.of.parts else ["labels-96x92"]
        fill = {"vouchers": [to.split("=")[-1]], "sheet": sheets, "paper": "a4"}
        try:
            answer = self.browser.send(fill)
            if not answer.is_pdf:
                # Made before, by somebody else or for nobody: read it, and have it made again.
                answer = self.browser.send({}, action="", button="anyway=1")
        except CutOff:
            self.owed.add(number)
            raise
        if not answer.is_pdf:
            raise Refused(f"{answer.status} {answer.said}")
        self.owed.discard(number)
        self.papers[number] += 1

    def _store(self, step: Next) -> None:
        self.browser.open(f"/store/move/?to={step.box}")
        codes = "\n".join(step.numbers)
        self.press({"to": f"PLACE {step.box}", "codes": codes, "why": "soak"}, "Into |lies in .* already")

    def _split(self, step: Next) -> None:
        self.browser.open(f"/finds/{step.of.find}/split/")
        self.press({"note_0": "the upper", "note_1": "the lower"}, "is split into")

    def _send(self, step: Next) -> None:
        self.browser.open("/exchange/new/")
        to = {"institution": "Herbarium of Fenwick", "person": "Dr Hale"}
        self.press({"codes": "\n".join(step.numbers), **to}, "is on record")

    def _lend(self, step: Next) -> None:
        self.browser.open("/loans/new/")
        to = {
            "institution": "Herbarium of Fenwick",
            "person": "Dr Hale",
            "purpose": "revision",
            "condition": "whole",
        }
        answer = self.press({"codes": "\n".join(step.numbers), **to}, "is on record|not made yet")
        if "not made yet" in answer.said:
            # It asks first, such as of a packet that somebody missed on a walk.
            answer = self.press({}, "is on record", action="")
        forms = [link for link in answer.tree.xpath("//a/@href") if link.endswith("/form/a4/")]
        if len(forms) != 1:
            raise AssertionError(f"a loan without its form: {answer.said}")

    def _take_back(self, step: Next) -> None:
        self.browser.open(f"/loans/{step.what}/return/")
        self.press({"codes": "\n".join(step.numbers), "condition": "as it left"}, "came back")

    def _deaccession(self, step: Next) -> None:
        self.browser.open(f"/vouchers/{_slug(step.of)}/deaccession/")
        self.press({"reason": "spoiled", "words": "Mould in the whole drawer."}, "is deaccessioned")

    def stocktake(self, box: int) -> bool:
        from tests.vouchers.soak.web_stocktake import take_stock_of

        return take_stock_of(box, self)


def _slug(of: Standing) -> str:
    return of.number.replace(" ", "-")
