"""Sentences in modules and scripts that are marked in no way: what a crawl of the pages does not meet, such as refusals.

    python -m tests.house.unmarked_code                 counts by file, and the sentences
    python -m tests.house.unmarked_code ledger/finds    only of these

A sentence is a text that begins with a capital or ends with a full stop and has a blank in it. What only commands, logs,
programmers and files that leave see is left out by its place; the rest is for a person to judge.
"""

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
OUT = re.compile(
    r"/(migrations|management|demo|exchange|formats|translations)/|vendor/|/demo[_.]|settings\.py|starting\.py"
)
SAYS = {"say", "say_n", "later", "lowered", "capital"}
# Errors that only a programmer sees.
PROGRAMMERS = {
    "ValueError",
    "TypeError",
    "KeyError",
    "AssertionError",
    "RuntimeError",
    "LookupError",
    "RegexValidator",
}
_SENTENCE = re.compile(r"^\W*[A-Z][^\n]* [a-z]|^[a-z][^\n]* [a-z][^\n]*[.?!]$", re.DOTALL)


def is_sentence(text: str) -> bool:
    return bool(_SENTENCE.search(text)) and len(text) > 7


def of_module(file: Path) -> Iterator[tuple[int, str]]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and (
            node.body and isinstance(node.body[0], ast.Expr)
        ):
            skipped.add(id(node.body[0].value))
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name in SAYS or name in PROGRAMMERS or name in ("debug", "info", "warning", "exception"):
                skipped |= {id(inner) for one in node.args for inner in ast.walk(one)}
        if isinstance(node, ast.keyword) and node.arg in ("help_text", "help") and not _in_form(file):
            skipped |= {id(inner) for inner in ast.walk(node.value)}
        if isinstance(node, ast.JoinedStr):
            skipped |= {id(inner) for inner in ast.walk(node) if inner is not node}
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and is_sentence(node.value):
            yield node.lineno, node.value
        elif isinstance(node, ast.JoinedStr):
            text = "".join(one.value if isinstance(one, ast.Constant) else "{}" for one in node.values)
            if is_sentence(text) or re.search(r"[a-z]{3,} [a-z]{3,}", text):
                yield node.lineno, text


def _in_form(file: Path) -> bool:
    return "form" in file.name


_STRING = re.compile(r'"((?:[^"\\\n]|\\.)*)"|`((?:[^`\\]|\\.)*)`')


def of_script(file: Path) -> Iterator[tuple[int, str]]:
    source = re.sub(
        r"/\*.*?\*/", lambda m: "\n" * m[0].count("\n"), file.read_text(encoding="utf-8"), flags=re.DOTALL
    )
    source = re.sub(r"(?m)^\s*//.*$|(?<=[;,{])\s+//.*$", "", source)
    for found in _STRING.finditer(source):
        text = found[1] if found[1] is not None else found[2]
        before = source[max(0, found.start() - 90) : found.start()]
        if re.search(r"\b(?:say\w*|inWords)\(\s*(?:\"(?:[^\"\\\n]|\\.)*\"\s*[,+]\s*)*$", before):
            continue
        if re.search(
            r"\bError\($|console\.\w+\($|import .*$|from $|querySelector\w*\($|closest\($",
            before.rpartition("\n")[2],
        ):
            continue
        plain = re.sub(r"\$\{[^}]*\}", "{}", text)
        if is_sentence(plain) or (found[2] is not None and re.search(r"[a-z]{3,} [a-z]{3,}", plain)):
            yield source.count("\n", 0, found.start()) + 1, plain


def by_file() -> dict[str, list[tuple[int, str]]]:
    """Path from the root of the checkout -> its unmarked sentences with their lines; files without any are left out."""
    files = [
        *sorted((ROOT / "ledger").rglob("*.py")),
        *sorted((ROOT / "vouchers").rglob("*.py")),
        *sorted((ROOT / "static" / "js").rglob("*.js")),
    ]
    found = {}
    for file in files:
        place = file.relative_to(ROOT).as_posix()
        if not OUT.search(place):
            found[place] = list(of_module(file) if file.suffix == ".py" else of_script(file))
    return {place: sentences for place, sentences in found.items() if sentences}


def main(only: list[str]) -> None:
    total = 0
    for place, found in by_file().items():
        if only and not any(one in place for one in only):
            continue
        total += len(found)
        print(f"\n{place}: {len(found)}")  # noqa: T201
        for line, text in found:
            print(f"    {line}: {text[:160]!r}")  # noqa: T201
    print(f"\n{total} sentences are not marked.")  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
