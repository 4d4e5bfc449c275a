"""Words of templates that are marked in no way: they would stand in English on a page that is read in another language.

python -m tests.house.unmarked_templates            by file
python -m tests.house.unmarked_templates finds      only of these
"""

import re
import sys
from collections.abc import Iterator
from pathlib import Path

from django.template.base import Lexer, TokenType

from tests.house.unmarked import SAME, Texts

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = ROOT / "templates"
_WORD = re.compile(r"[A-Za-zÀ-ž]{2,}")
# Names of classes, in a block of their own.
_HOOK = re.compile(r"[\s\x01·]*sheet sheet--\w+( bench)?[\s\x01]*")
# What a tag or a value stands for; no letter of any word.
_VALUE = "\x01"
_BLOCKS = {"blocktranslate": "endblocktranslate", "blocktrans": "endblocktrans", "comment": "endcomment"}


def unmarked_in(source: str) -> Iterator[str]:
    """The texts and read-out attributes of a template that hold words outside of what is marked."""
    reader = Texts()
    reader.feed("".join(_pieces(source)))
    reader.close()
    for text in reader.texts:
        if _HOOK.fullmatch(text):
            continue
        rest = SAME.sub(" ", text.replace(_VALUE, " "))
        if _WORD.search(rest):
            yield " ".join(text.replace(_VALUE, " … ").split())


def _pieces(source: str) -> Iterator[str]:
    until = ""
    for token in Lexer(source).tokenize():
        word = token.contents.split(" ", 1)[0] if token.token_type == TokenType.BLOCK else ""
        if until:
            until = "" if word == until else until
        elif word in _BLOCKS:
            until = _BLOCKS[word]
            yield _VALUE
        elif token.token_type == TokenType.TEXT:
            yield token.contents
        elif token.token_type != TokenType.COMMENT:
            yield _VALUE


def templates() -> list[Path]:
    """Those whose words people read; what a machine or a prompt reads has none to be said in two languages."""
    return sorted(one for one in TEMPLATES.rglob("*.html"))


def main(only: list[str]) -> None:
    total = 0
    for file in templates():
        place = file.relative_to(ROOT).as_posix()
        if only and not any(one in place for one in only):
            continue
        found = list(unmarked_in(file.read_text(encoding="utf-8")))
        total += len(found)
        if found:
            print(f"\n{place}: {len(found)}")  # noqa: T201
            for text in found:
                print(f"    {text[:160]!r}")  # noqa: T201
    print(f"\n{total} texts are not marked.")  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
