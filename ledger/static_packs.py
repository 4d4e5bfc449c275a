"""Packs: several modules, or several stylesheets, in one file, so that a slow line is asked once and not forty times.

Made while the static files are collected; the sources stay plain modules, and development and tests run them as they
are. `{% module_script %}` and `{% sheets %}` in the templates say what is packed; what is imported by `import()` becomes
a pack of its own. In a pack each module is a function that gives its exports, kept by its name in one table of the
page: whichever pack brings a module first, it runs once. The house's own style of imports and exports is understood,
anything else is refused.
"""

import posixpath
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from django.conf import settings

from ledger.static_tree import later_in, modules_of, text_of

_SCRIPT = re.compile(r"""\{%\s*module_script\s+"([^"]+)"\s*%\}""")
_SHEETS = re.compile(r"""\{%\s*sheets((?:\s+"[^"]+")+)\s*%\}""")
_IMPORT = re.compile(
    r"""^import\s+(?:\{(?P<names>[^}]*)\}\s*from\s+|\*\s+as\s+(?P<all>\w+)\s+from\s+)?"(?P<path>\.[^"]+)";""",
    re.MULTILINE,
)
_EXPORT = re.compile(r"^export (?=(?:async function|function|class|const)\*? (\w+))", re.MULTILINE)
_EXPORT_LIST = re.compile(
    r"""^export\s*\{(?P<names>[^}]*)\}(?:\s*from\s+"(?P<path>\.[^"]+)")?;""", re.MULTILINE
)
_LEFT_OVER = re.compile(r"^(?:import\b(?!\()|export\b).*|^await\b.*", re.MULTILINE)
_LATER = re.compile(r"""\bimport\(\s*["'](\.[^"']+)["']\s*\)""")
_TABLE = "const modules = (globalThis.packedModules ??= {});\n"


class NotPackable(ValueError):
    """A module is written in a way a pack does not know; the text says which and where."""


@dataclass(frozen=True, slots=True)
class Pack:
    """`name`: of the file that is made; `sources`: of those it is made of, in their order."""

    name: str
    sources: tuple[str, ...]
    root: str = ""


def pack_name(name: str) -> str:
    """The pack of a module."""
    return name.removesuffix(".js") + ".pack.js"


def sheets_name(names: tuple[str, ...]) -> str:
    """The pack of several stylesheets. They lie in one folder, so that their `url()` go on leading where they led."""
    folders = {posixpath.dirname(name) for name in names}
    if len(folders) != 1:
        raise NotPackable(f"These stylesheets do not lie in one folder: {', '.join(names)}.")
    stems = "-".join(posixpath.basename(name).removesuffix(".css") for name in names)
    return posixpath.join(folders.pop(), f"{stems}.pack.css")


@lru_cache(maxsize=1)
def packs() -> Mapping[str, Pack]:
    """All packs the templates ask for, by name. Read once: templates do not change while the ledger runs."""
    texts = [
        path.read_text(encoding="utf-8") for path in sorted(Path(settings.ROOT, "templates").rglob("*.html"))
    ]
    made: dict[str, Pack] = {}
    for text in texts:
        for group in _SHEETS.findall(text):
            names = tuple(re.findall(r'"([^"]+)"', group))
            made[sheets_name(names)] = Pack(sheets_name(names), names)
    roots = sorted({name for text in texts for name in _SCRIPT.findall(text)})
    for root in roots:
        made[pack_name(root)] = Pack(pack_name(root), modules_of(root)[::-1], root)
    for root, leads in _later_roots(roots).items():
        if root not in roots:
            there = set.intersection(*(set(modules_of(lead)) for lead in leads)) - {root}
            sources = tuple(name for name in modules_of(root)[::-1] if name not in there)
            made[pack_name(root)] = Pack(pack_name(root), sources, root)
    return made


def _later_roots(roots: list[str]) -> dict[str, set[str]]:
    """What is imported by `import()`, and from which packs."""
    found: dict[str, set[str]] = {}
    waiting = list(roots)
    for lead in waiting:
        for module in modules_of(lead):
            for other in later_in(module):
                found.setdefault(other, set()).add(lead)
                if other not in waiting:
                    waiting.append(other)
    return found


def packed(pack: Pack) -> str:
    """The text of a pack. Raises NotPackable."""
    if not pack.root:
        return "\n".join(_without_comments(text_of(name)) for name in pack.sources)
    folder = posixpath.dirname(pack.name)
    ordered = _each_after_what_it_needs(pack.sources)
    bodies = [f'modules["{name}"] ??= (() => {{\n{_body(name, folder)}}})();\n' for name in ordered]
    own = "".join(
        f'export const {name} = modules["{pack.root}"].{name};\n' for name in sorted(exports_of(pack.root))
    )
    return _TABLE + "".join(bodies) + own


def _each_after_what_it_needs(names: tuple[str, ...]) -> list[str]:
    placed: list[str] = []

    def place(name: str) -> None:
        for other in modules_of(name)[1:]:
            if other in names and other not in placed:
                place(other)
        if name not in placed:
            placed.append(name)

    for name in names:
        place(name)
    return placed


def exports_of(name: str) -> Mapping[str, str]:
    """What a module exports: the name outside -> the expression inside that gives it."""
    text = text_of(name)
    found = {own: own for own in _EXPORT.findall(text)}
    for match in _EXPORT_LIST.finditer(text):
        table = f'modules["{_other(name, match["path"])}"].' if match["path"] else ""
        found |= {outside: table + inside for inside, outside in _pairs(match["names"])}
    return found


def _body(name: str, folder: str) -> str:
    def imported(match: re.Match[str]) -> str:
        table = f'modules["{_other(name, match["path"])}"]'
        if match["all"]:
            return f"const {match['all']} = {table};"
        if match["names"] is None:
            return ""
        names = ", ".join(
            own if own == outside else f"{own}: {outside}" for own, outside in _pairs(match["names"])
        )
        return f"const {{ {names} }} = {table};"

    def later(match: re.Match[str]) -> str:
        path = posixpath.relpath(pack_name(_other(name, match[1])), folder)
        return f'import("{path if path.startswith(".") else f"./{path}"}")'

    text = _IMPORT.sub(imported, text_of(name))
    text = _EXPORT.sub("", _EXPORT_LIST.sub("", text))
    left = _LEFT_OVER.search(text)
    if left:
        raise NotPackable(f"{name} has a line that cannot be packed: {left[0]}")
    pairs = exports_of(name).items()
    given = ", ".join(outside if outside == inside else f"{outside}: {inside}" for outside, inside in pairs)
    return f"{_without_comments(_LATER.sub(later, text))}return {{ {given} }};\n"


def _without_comments(text: str) -> str:
    """Leave out the comments that have lines of their own: a quarter of what goes over the line, and for readers of the
    sources. Where a text in backquotes may be open, all stays."""
    kept, ticks, is_open = [], 0, False
    for line in text.splitlines(keepends=True):
        if is_open:
            is_open = "*/" not in line
            rest = line.partition("*/")[2]
            kept += [rest] if rest.strip() else []
            continue
        start = line.strip()
        if ticks % 2 == 0 and start.startswith(("//", "/*")):
            is_open = start.startswith("/*") and "*/" not in start
            if start.startswith("//") or is_open or start.endswith("*/"):
                continue
        ticks += line.count("`")
        kept.append(line)
    return "".join(kept)


def _other(name: str, path: str) -> str:
    return posixpath.normpath(posixpath.join(posixpath.dirname(name), path))


def _pairs(names: str) -> Iterator[tuple[str, str]]:
    """`a, b as c` -> (a, a), (b, c)."""
    for one in filter(None, (part.strip() for part in names.split(","))):
        first, _, second = one.partition(" as ")
        yield first.strip(), (second or first).strip()
