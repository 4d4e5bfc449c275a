"""The catalogue of a language, in parts by area: `ledger/locale/de/finds.po`. Read by Babel, which only developers have."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from ledger.translations.found import Message, unescaped

_HEADER = """# {language}: {area}.
msgid ""
msgstr ""
"Language: {language}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"
"""


class BabelMissing(Exception):
    """Babel is not installed; the ledger runs without it, translating does not."""


class PartUnreadable(Exception):
    """A part is no catalogue; the text names file and line."""


@dataclass(frozen=True)
class Entry:
    """One sentence of a part with its translation: one text, or one for each form of the plural."""

    text: str
    plural: str
    said: tuple[str, ...]
    part: str
    line: int
    is_fuzzy: bool = False

    @property
    def key(self) -> tuple[str, str]:
        return self.text, self.plural

    @property
    def is_missing(self) -> bool:
        return not all(self.said)


def read_parts(folder: Path) -> list[Entry]:
    """Every entry of every part of a language, doubles and all."""
    return [entry for file in sorted(folder.glob("*.po")) for entry in read_part(file)]


def read_part(file: Path) -> Iterator[Entry]:
    """Raises PartUnreadable, BabelMissing."""
    try:
        from babel.messages.pofile import PoFileError, read_po
    except ImportError as missing:
        raise BabelMissing(
            "Babel is missing: .venv/bin/pip install babel. The ledger itself runs without it."
        ) from missing
    try:
        with file.open("rb") as stream:
            catalogue = read_po(stream, abort_invalid=True)
    except (PoFileError, ValueError) as problem:
        raise PartUnreadable(f"{file.name} cannot be read: {problem}") from problem
    for message in catalogue:
        if not message.id:
            continue
        ids = message.id if isinstance(message.id, (list, tuple)) else (message.id, "")
        said = message.string if isinstance(message.string, (list, tuple)) else (message.string or "",)
        yield Entry(
            ids[0], ids[1], tuple(said), file.stem, message.lineno or 0, is_fuzzy="fuzzy" in message.flags
        )


_MSGID = re.compile(r'^msgid ((?:".*"\s*)+)', re.M)


def doubles_within(file: Path) -> Iterator[tuple[str, int]]:
    """The sentences that stand twice in one part, with the line of the later: a reader of catalogues tells nobody."""
    seen: set[str] = set()
    source = file.read_text(encoding="utf-8")
    for found in _MSGID.finditer(source):
        text = _msgid(found)
        if text in seen:
            yield text, source.count("\n", 0, found.start()) + 1
        seen.add(text)


def drop_needless(folder: Path, entries: Iterable[Entry], marked: Iterable[Message]) -> None:
    """Take out of the parts what stands there empty and is translated elsewhere, as where two added it at once, or is marked
    nowhere any more. What has a translation stays, whatever became of its sentence."""
    wanted = {message.text for message in marked}
    done = {entry.text for entry in entries if not entry.is_missing}
    for file in sorted(folder.glob("*.po")):
        source = file.read_text(encoding="utf-8")
        blocks = source.split("\n\n")
        kept = [block for at, block in enumerate(blocks) if at == 0 or not _is_needless(block, done, wanted)]
        if len(kept) < len(blocks):
            file.write_text("\n\n".join(kept).rstrip("\n") + "\n", encoding="utf-8")


def _is_needless(block: str, done: set[str], wanted: set[str]) -> bool:
    found = _MSGID.search(block)
    if found is None:
        return False
    text = unescaped(_msgid(found))
    if text in wanted and text not in done:
        return False
    said = block[block.index("\nmsgstr") :] if "\nmsgstr" in block else ""
    return bool(said) and not any(re.findall(r'"(.*)"', said))


def _msgid(found: re.Match[str]) -> str:
    return "".join(re.findall(r'^\s*"(.*)"\s*$', found[1], re.M))


def add_missing(folder: Path, language: str, messages: Iterable[Message]) -> dict[str, int]:
    """Append the messages to the parts of their areas, without a translation. Return how many each part got."""
    added: dict[str, int] = {}
    for message in messages:
        file = folder / f"{message.area}.po"
        if not file.exists():
            file.write_text(_HEADER.format(language=language, area=message.area), encoding="utf-8")
        with file.open("a", encoding="utf-8") as part:
            part.write(f"\n#: {message.place}\n" + entry_text(message.text, message.plural))
        added[message.area] = added.get(message.area, 0) + 1
    return added


def entry_text(text: str, plural: str, said: tuple[str, ...] = ("", "")) -> str:
    if not plural:
        return f"msgid {_quoted(text)}\nmsgstr {_quoted(said[0])}\n"
    forms = "".join(f"msgstr[{at}] {_quoted(form)}\n" for at, form in enumerate(said))
    return f"msgid {_quoted(text)}\nmsgid_plural {_quoted(plural)}\n{forms}"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t")
    lines = [line + "\\n" for line in escaped.split("\n")]
    lines[-1] = lines[-1][:-2]
    lines = [line for line in lines if line] or [""]
    return f'"{lines[0]}"' if len(lines) == 1 else '""\n' + "\n".join(f'"{line}"' for line in lines)
