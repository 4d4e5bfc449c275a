"""What the parts of a catalogue give: the file that Python reads, and the one that the browser does.

Both are kept in the repository, so that a ledger runs without Babel; both are the same for the same parts.
"""

import json
import struct
from collections.abc import Collection, Iterable
from pathlib import Path

from ledger.translations.parts import Entry

_MAGIC = 0x950412DE
_HEAD = (
    "Language: {language}\n"
    "MIME-Version: 1.0\n"
    "Content-Type: text/plain; charset=utf-8\n"
    "Content-Transfer-Encoding: 8bit\n"
    "Plural-Forms: nplurals=2; plural=(n != 1);\n"
)


def mo_file(folder: Path) -> Path:
    return folder / "LC_MESSAGES" / "django.mo"


def script_file(root: Path, language: str) -> Path:
    return root / "static" / "words" / f"{language}.js"


def mo_bytes(entries: Iterable[Entry], language: str) -> bytes:
    """The catalogue in the form of GNU gettext: a table of keys in order, a table of texts. What is missing is left out."""
    texts = {"": _HEAD.format(language=language)}
    for entry in entries:
        if not entry.is_missing and not entry.is_fuzzy:
            key = f"{entry.text}\0{entry.plural}" if entry.plural else entry.text
            texts[key] = "\0".join(entry.said)
    pairs = sorted((key.encode(), said.encode()) for key, said in texts.items())
    keys_at, texts_at = 7 * 4, 7 * 4 + 8 * len(pairs)
    at = texts_at + 8 * len(pairs)
    tables: list[bytes] = []
    body = b""
    for side in (0, 1):
        for pair in pairs:
            tables.append(struct.pack("<2I", len(pair[side]), at + len(body)))
            body += pair[side] + b"\0"
    head = struct.pack("<7I", _MAGIC, 0, len(pairs), keys_at, texts_at, 0, 0)
    return head + b"".join(tables) + body


def script_text(entries: Iterable[Entry], wanted: Collection[tuple[str, str]]) -> str:
    """The catalogue as a script of one object, a sentence a line; only what scripts say."""
    words = {
        entry.text: entry.said[0] if not entry.plural else list(entry.said)
        for entry in entries
        if entry.key in wanted and not entry.is_missing and not entry.is_fuzzy
    }
    lines = (
        f"{json.dumps(text, ensure_ascii=False)}: {json.dumps(said, ensure_ascii=False)}"
        for text, said in sorted(words.items())
    )
    return "globalThis.ledgerWords = {\n" + ",\n".join(lines) + "\n};\n"
