"""What pages say that stands in no catalogue: a crawl in a pretended language, in which all that is marked has brackets.

    LEDGER_VAR=… python -m tests.house.unmarked              the demo club there, as member, curator and keeper
    LEDGER_VAR=… python -m tests.house.unmarked finds bench  only the pages whose URL names or templates hold these

Told by file: where the words were found in a template or module, else under the page they were met on. Numbers, signs,
Latin names and whatever the database holds count as data.
"""

import html
import re
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
ATTRIBUTES = {"title", "aria-label", "placeholder", "alt", "aria-description"}
SILENT = {"script", "style", "noscript", "code"}
# Words that are the same in every language of ours: units, signs, the ledger's own name, words of standards.
SAME = re.compile(
    r"\b(Bracket Ledger|mm|cm|km|µm|um|kB|MB|GB|KOH|ISO|ORCID|WGS\s?84|UTC|EXIF|GPX|CSV|ODS|XLSX|JSON|PDF|MIDS|MGRS|DwC|"
    r"Q|L|W|U|cf|aff|leg|det|coll|sp|s\.l|n|db|dB|N|S|E|x|h|min|d|GBIF|USDA|FIA|A4|Letter|http\S*|https\S*|[A-Z]{2,6}|"
    r"English|Deutsch)\b"
)
DAYS = re.compile(
    r"\b\d{1,2} ⟦?(January|February|March|April|May|June|July|August|September|October|November|December|Jan|Feb|Mar|Apr|"
    r"Jun|Jul|Aug|Sep|Oct|Nov|Dec)⟧? \d{4}\b"
)
LINK = re.compile(r"""(?:href|src)="(/[^"#]*)""")
# So many pages of each address of the ledger, whatever its numbers.
EACH = 3


class Texts(HTMLParser):
    """The texts of a page that a person reads or hears."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._silent += tag in SILENT
        for name, value in attrs:
            if value and (name in ATTRIBUTES or name.startswith("data-say")):
                self.texts.append(value)
            if (
                tag == "input"
                and name == "value"
                and value
                and dict(attrs).get("type") in ("submit", "button")
            ):
                self.texts.append(value)

    def handle_endtag(self, tag: str) -> None:
        self._silent -= tag in SILENT

    def handle_data(self, data: str) -> None:
        # An opened bracket may span several nodes; so all is joined, and told apart where no bracket is open.
        if not self._silent:
            self.texts.append(data)


def texts_outside(page: str) -> list[str]:
    """The pieces of text that stand outside all brackets, in their order."""
    parser = Texts()
    parser.feed(page)
    found, depth = [], 0
    for text in parser.texts:
        piece = ""
        for sign in text:
            if sign == "⟦":
                depth += 1
                piece += "\n"
            elif sign == "⟧":
                depth = max(0, depth - 1)
            elif not depth:
                piece += sign
        found += [one.strip() for one in piece.split("\n") if one.strip()]
    return found


class Data:
    """What is no sentence of ours: texts of the database, names, numbers and signs."""

    def __init__(self, known: Iterable[str]) -> None:
        self.whole = {" ".join(text.split()).casefold() for text in known}
        self.long = "\n".join(sorted(text for text in self.whole if len(text) > 3))

    def has(self, text: str) -> bool:
        text = DAYS.sub(" ", " ".join(text.split()))
        if self._is_known(text):
            return True
        return all(
            self._is_known(piece) for piece in re.split(r"[·,;:()/“”„\[\]–—…\n]|\. | and | × |\|", text)
        )

    def _is_known(self, piece: str) -> bool:
        piece = piece.strip(" .?!’'\"").casefold()
        plain = SAME.sub(" ", piece)
        if not re.search(r"[^\W\d_]{2,}", SAME.sub(" ", re.sub(r"\S*\d\S*", " ", plain))):
            return True
        if not re.search(
            r"[^\W\d_]{2,}", re.sub(r"\S*\d\S*", " ", re.sub(SAME.pattern.casefold(), " ", piece))
        ):
            return True
        return piece in self.whole or (len(piece) > 3 and piece in self.long)


@contextmanager
def everything_in_brackets() -> Iterator[None]:
    """Whatever templates, forms and modules say stands in brackets."""
    from django.utils import translation

    from ledger import words
    from tests.speaking import bracketed

    def counted(one: str, many: str, n: int) -> str:
        return bracketed(one if n == 1 else many)

    before = words._gettext, words._ngettext
    kept = {name: getattr(translation._trans, name) for name in ("gettext", "ngettext")}
    translation._trans.gettext, translation._trans.ngettext = bracketed, counted
    words.use(bracketed, counted)
    try:
        yield
    finally:
        words.use(*before)
        for name, function in kept.items():
            setattr(translation._trans, name, function)


def texts_of_database() -> Iterator[str]:
    """Every text of every row, the keys of trees of JSON left out."""
    from django.apps import apps
    from django.db import models

    for model in apps.get_models():
        fields = [
            field.attname
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField) and not field.choices
        ]
        for row in model._default_manager.values_list(*fields) if fields else ():
            for text in row:
                if isinstance(text, str) and text:
                    yield text
                    yield from re.split(r"[|,\n]", text)


def crawl(client: Any, each: int = EACH) -> Iterator[tuple[str, str, str]]:
    """(URL name, address, page) of the pages that can be reached from the front page, so many of each name."""
    from django.urls import Resolver404, resolve

    waiting, seen, met = ["/"], {"/"}, Counter[str]()
    while waiting:
        address = waiting.pop(0)
        try:
            name = resolve(address.partition("?")[0]).url_name or ""
        except Resolver404:
            continue
        kind = name + ("?" if "?" in address else "")
        if met[kind] >= each or name.startswith(("sign-out", "handing", "backup-")):
            continue
        answer = client.get(address)
        if answer.status_code in (301, 302):
            waiting.append(answer.headers["Location"])
            continue
        if answer.streaming or "text/html" not in answer.headers.get("Content-Type", ""):
            continue
        met[kind] += 1
        page = answer.content.decode()
        yield name, address, page
        for link in map(html.unescape, LINK.findall(page)):
            if link not in seen and not link.startswith(("/static/", "//")):
                seen.add(link)
                waiting.append(link)


def home_of(text: str, sources: dict[str, str]) -> str:
    """The file that the words stand in; empty where none holds them as they are."""
    for length in (len(text), 40, 24):
        piece = text[:length]
        if len(piece) >= 2:
            homes = [place for place, source in sources.items() if piece in source]
            if homes:
                return homes[0] if len(homes) < 4 else f"{homes[0]} (and {len(homes) - 1} more)"
    return ""


def sources() -> dict[str, str]:
    files = [
        *(ROOT / "templates").rglob("*.html"),
        *(ROOT / "ledger").rglob("*.py"),
        *(ROOT / "vouchers").rglob("*.py"),
    ]
    return {
        file.relative_to(ROOT).as_posix(): file.read_text(encoding="utf-8")
        for file in sorted(files, key=lambda file: (file.suffix != ".html", file))
        if "migrations" not in file.parts and "demo" not in file.parts
    }


def unmarked(clients: Iterable[Any], data: Data, each: int = EACH) -> dict[tuple[str, str], str]:
    """(text, its file or nothing) -> a page that shows it."""
    where = sources()
    found: dict[str, str] = {}
    for client in clients:
        for _, address, page in crawl(client, each):
            for text in texts_outside(page):
                if text not in found and not data.has(text):
                    found[text] = address
    return {(text, home_of(text, where)): address for text, address in found.items()}


def main(only: list[str]) -> None:
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    import django

    django.setup()
    from django.conf import settings
    from django.db import transaction
    from django.test import Client

    from ledger.people.models import Member

    settings.ALLOWED_HOSTS = ["*"]
    data = Data(texts_of_database())
    by_home: dict[str, list[str]] = defaultdict(list)
    with transaction.atomic(), everything_in_brackets():
        clients = [Client()]
        for role in ("member", "curator", "keeper"):
            client = Client()
            client.force_login(
                Member.objects.filter(role=role, is_active=True).first(),  # type: ignore[arg-type]
                backend="django.contrib.auth.backends.ModelBackend",
            )
            clients.append(client)
        for (text, home), address in unmarked(clients, data).items():
            by_home[home or f"(page) {address}"].append(f"{text[:150]!r}   {address}")
        transaction.set_rollback(True)
    total = 0
    for home, texts in sorted(by_home.items()):
        if only and not any(word in home for word in only):
            continue
        total += len(texts)
        print(f"\n{home}: {len(texts)}")  # noqa: T201
        for text in texts:
            print("   ", text)  # noqa: T201
    print(f"\n{total} texts are not marked.")  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
