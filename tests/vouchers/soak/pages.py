"""Pages of the ledger as a person reads them: forms to be filled in, and how a find stands. No Django, HTML in."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lxml import html

from tests.vouchers.soak.plan import Standing

_STEP_OF = {
    "Into the drier": "drier in",
    "Out of the drier": "drier out",
    "Into the freezer": "freezer in",
    "Out of the freezer": "freezer out",
    "Into the packet": "packet",
}
_LABEL_OF = {"packet label": "packet", "label of a duplicate": "duplicate"}
_TELLS = ("notice", "field__error", "errorlist")


def has(css_class: str) -> str:
    """Condition of an XPath: an element has this class."""
    return f"contains(concat(' ', normalize-space(@class), ' '), ' {css_class} ')"


@dataclass(frozen=True)
class Answer:
    """What came of opening an address or sending a form. `path`: where it ended, after redirects."""

    status: int
    path: str
    kind: str
    body: bytes

    @property
    def is_pdf(self) -> bool:
        return self.kind.startswith("application/pdf")

    @property
    def tree(self) -> Any:
        return html.fromstring(self.body.decode())

    def json(self) -> Any:
        return json.loads(self.body)

    @property
    def said(self) -> str:
        """What the page tells the person: messages, and what is wrong."""
        told = self.tree.xpath(
            "//main//h1 | " + " | ".join(f"//main//*[{has(one)} and not(@hidden)]" for one in _TELLS)
        )
        return " | ".join(dict.fromkeys(" ".join(one.text_content().split()) for one in told))


def form_of(tree: Any, names: set[str], action: str = "") -> Any:
    """The form of the page that is sent by a press, has boxes of all these names, and goes to that address."""
    # Not those of the menu, which stands above every page.
    for form in tree.xpath("//main//form"):
        is_post = (form.get("method") or "").lower() == "post"
        has_them = names <= {box.get("name") for box in form.iter("input", "select", "textarea")}
        if is_post and has_them and (form.get("action") or "").endswith(action):
            return form
    raise LookupError(f"no form with {sorted(names)} {action}")


def values_of(form: Any, fill: dict[str, Any], button: str = "") -> list[tuple[str, str]]:
    """What a browser would send of the form: its own values, those filled in, and the button that was pressed."""
    for name, value in fill.items():
        boxes = [box for box in form.iter("input", "select", "textarea") if box.get("name") == name]
        wanted = [value] if isinstance(value, str) else value
        if boxes[0].get("type") in ("checkbox", "radio"):
            if missing := set(wanted) - {box.get("value") or "on" for box in boxes}:
                raise LookupError(f"{name} does not offer {sorted(missing)}")
            for box in boxes:
                box.checked = (box.get("value") or "on") in wanted
        else:
            boxes[0].value = value
    values = list(form.form_values())
    if button:
        name, _, value = button.partition("=")
        values.append((name, value))
    return values


def number_of(tree: Any) -> tuple[str, str]:
    """Of the page of a find: its accession number and the address of its voucher, empty where it has none."""
    for term in tree.xpath("//dl/div[dt='Voucher']/dd"):
        for link in term.xpath("a[@class='number']"):
            return link.text_content(), link.get("href")
    return "", ""


def shares_of(tree: Any) -> list[str]:
    """Of the page of a find: the keys of its shares."""
    return [link.get("href").split("/")[-2] for link in tree.xpath("//dl/div[dt='Split into']/dd/a")]


def standing_of(find: str, tree: Any, boxes: Mapping[str, int]) -> Standing:
    """Of the page of a voucher. `boxes`: name of a place -> its number."""
    number = " ".join(tree.xpath("string(//p[@class='find-number'])").split())
    parts: dict[str, int] = {}
    had = set()
    for row in tree.xpath("//section[@aria-labelledby='parts']//li"):
        suffix = row.xpath("string(.//span[@class='number'])").removeprefix(number).strip()
        where = " ".join(row.xpath("string(.//p[last()])").split())
        had.add(suffix[:1])
        if "ended " not in where:
            parts[suffix] = next((box for name, box in boxes.items() if where.endswith(name)), 0)
    steps = [
        _STEP_OF[step.text]
        for step in tree.xpath("//section[@aria-labelledby='preparation']//li//b")
        if step.text in _STEP_OF
    ]
    lent = tree.xpath("//section[@aria-labelledby='loans']//li")
    loan = next(
        (
            row.xpath("string(.//p//span[@class='number'])")
            for row in lent
            if row.xpath(".//b[starts-with(., 'on loan')]")
        ),
        "",
    )
    made = [
        " ".join(row.text_content().split()).lower()
        for row in tree.xpath("//section[@aria-labelledby='printing']//li")
    ]
    return Standing(
        find,
        number=number,
        steps=tuple(steps),
        parts=parts,
        had=frozenset(had),
        labels=frozenset("packet" for words in made if words.startswith("packet label")),
        was_lent=bool(lent),
        loan=loan,
        is_gone=bool(tree.xpath("//b[starts-with(., 'Deaccessioned')]")),
    )
