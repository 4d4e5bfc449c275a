"""The sentences that are marked to be said in another language: found in templates, modules, scripts and tables."""

import ast
import json
import re
import string
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.template import Engine
from django.template.base import Lexer, Node, NodeList, Template, TokenType
from django.templatetags.i18n import BlockTranslateNode, TranslateNode

from ledger.translations.areas import area_of


class WronglyMarked(Exception):
    """A sentence is marked in a way that nobody could find its translation; the text names file and line."""


@dataclass(frozen=True)
class Message:
    """A sentence with the place where it stands. `plural` where it counts; `script` where the browser says it."""

    text: str
    plural: str
    place: str
    line: int
    script: bool = False

    @property
    def key(self) -> tuple[str, str]:
        return self.text, self.plural

    @property
    def area(self) -> str:
        return area_of(self.place)


def all_messages(root: Path) -> list[Message]:
    """Everything that is marked under the root of the checkout, in the order of the files."""
    return [
        *_data_words(root),
        *(message for file in _files(root, "templates", "*.html") for message in of_template(root, file)),
        *(message for room in ("ledger", "vouchers") for message in _of_modules(root, room)),
        *(message for file in _files(root, "static/js", "*.js") for message in of_script(root, file)),
    ]


def _files(root: Path, folder: str, pattern: str) -> list[Path]:
    return sorted((root / folder).rglob(pattern))


def _place(root: Path, file: Path) -> str:
    return file.relative_to(root).as_posix()


# --- Templates -------------------------------------------------------------------------------------------

_IN_A_TAG = re.compile(r"""_\(("[^"]*"|'[^']*')\)""")


def of_template(root: Path, file: Path) -> Iterator[Message]:
    """What a template translates, whole or in parts, and the words it hands on by `_("…")`."""
    source = file.read_text(encoding="utf-8")
    place = _place(root, file)
    for token in Lexer(source).tokenize():
        if token.token_type in (TokenType.BLOCK, TokenType.VAR):
            for literal in _IN_A_TAG.findall(token.contents):
                # A per cent sign is doubled where Django looks a template's word up.
                yield Message(literal[1:-1].replace("%", "%%"), "", place, token.lineno or 0)
    for node in _nodes(Template(source, engine=Engine.get_default()).nodelist):
        line = node.token.lineno or 0 if node.token else 0
        if isinstance(node, TranslateNode):
            literal = getattr(node.filter_expression.var, "literal", None)
            if isinstance(literal, str):
                yield Message(str(literal).replace("%", "%%"), "", place, line)
        else:
            one, _ = node.render_token_list(node.singular)
            many = node.render_token_list(node.plural)[0] if node.plural and node.countervar else ""
            if node.trimmed:
                one, many = _trimmed(one), _trimmed(many)
            yield Message(one, many, place, line)


def _trimmed(text: str) -> str:
    return " ".join(line.strip() for line in text.strip().splitlines() if line.strip()) if text else ""


def _nodes(nodes: NodeList) -> Iterator[TranslateNode | BlockTranslateNode]:
    for node in nodes:
        if isinstance(node, TranslateNode | BlockTranslateNode):
            yield node
        for name in _children(node):
            yield from _nodes(getattr(node, name))


def _children(node: Node) -> list[str]:
    return [name for name in node.child_nodelists if isinstance(getattr(node, name, None), NodeList)]


# --- Modules ---------------------------------------------------------------------------------------------

_SAY, _SAY_N = ("say", "later"), ("say_n",)


def _of_modules(root: Path, room: str) -> Iterator[Message]:
    for file in _files(root, room, "*.py"):
        if "migrations" not in file.parts:
            yield from of_module(root, file)


def of_module(root: Path, file: Path) -> Iterator[Message]:
    """Literal sentences of `say`, `say_n` and `later`; what comes from a table is found there."""
    source = file.read_text(encoding="utf-8")
    if "ledger.words" not in source:
        return
    tree = ast.parse(source)
    names = _names_of_words(tree)
    place = _place(root, file)
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
            continue
        called = names.get(node.func.id)
        if called in _SAY and node.args:
            for text in _literals(node.args[0], place):
                yield Message(text, "", place, node.lineno)
        elif called in _SAY_N and len(node.args) >= 3:
            one, many = (list(_literals(argument, place)) for argument in node.args[:2])
            if len(one) == len(many) == 1:
                yield Message(one[0], many[0], place, node.lineno)


def _names_of_words(tree: ast.Module) -> dict[str, str]:
    return {
        alias.asname or alias.name: alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module == "ledger.words"
        for alias in node.names
    }


def _literals(node: ast.expr, place: str) -> Iterator[str]:
    """The sentence, or both of `a if so else b`; none where it is read from a table."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _literals(node.body, place)
        yield from _literals(node.orelse, place)
    elif isinstance(node, ast.JoinedStr | ast.BinOp):
        raise WronglyMarked(
            f"{place}, line {node.lineno}: a sentence put together where it is marked has no translation; "
            'say("{name} is …", name=name).'
        )


# --- Scripts ---------------------------------------------------------------------------------------------

_WORDS_IMPORTED = re.compile(r"import\s*\{([^}]*)\}\s*from\s*\"[^\"]*/words\.js\"")
_LITERAL = re.compile(r"""\s*(?:"((?:[^"\\\n]|\\.)*)"|'((?:[^'\\\n]|\\.)*)')\s*""")
_ESCAPES = {"n": "\n", "t": "\t"}


def of_script(root: Path, file: Path) -> Iterator[Message]:
    """Literal sentences of `say` and `sayN` in a script that imports them from `words.js`, by whatever name."""
    source = file.read_text(encoding="utf-8")
    place = _place(root, file)
    names = {}
    for imported in _WORDS_IMPORTED.findall(source):
        for one in filter(None, (part.strip() for part in imported.split(","))):
            name, _, called = one.partition(" as ")
            names[called.strip() or name.strip()] = name.strip()
    for called, name in names.items():
        if name not in ("say", "sayN"):
            continue
        for found in re.finditer(rf"(?<![\w.$]){re.escape(called)}\(", source):
            line = source.count("\n", 0, found.start()) + 1
            if source[found.end() :].lstrip()[:1] == "`":
                raise WronglyMarked(
                    f"{place}, line {line}: a template string has no translation; "
                    f'{called}("{{n}} photos wait.", {{ n }}).'
                )
            one, end = _script_literal(source, found.end())
            if one is None:
                _refuse_choice(source, found.end(), f"{place}, line {line}", called)
            elif name == "say":
                yield Message(one, "", place, line, script=True)
            elif source[end] == ",":
                many, _ = _script_literal(source, end + 1)
                if many is not None:
                    yield Message(one, many, place, line, script=True)


def _script_literal(source: str, at: int) -> tuple[str | None, int]:
    """The text of one literal, or of several added up, and where it ends; None where it is none."""
    parts = []
    while found := _LITERAL.match(source, at):
        inner = found[1] if found[1] is not None else found[2]
        parts.append(unescaped(inner))
        at = found.end()
        if source[at : at + 1] != "+":
            return "".join(parts), at
        at += 1
    return None, at


def unescaped(text: str) -> str:
    """The text of a literal, of a script or of a catalogue, without the backslashes before its signs."""
    return re.sub(r"\\(.)", lambda m: _ESCAPES.get(m[1], m[1]), text)


def _refuse_choice(source: str, at: int, where: str, called: str) -> None:
    argument = re.split(r"[,)]", source[at : at + 400], maxsplit=1)[0]
    if "?" in argument and '"' in argument:
        raise WronglyMarked(
            f'{where}: a choice within a mark has no translation; so ? {called}("…") : {called}("…").'
        )


# --- Tables ----------------------------------------------------------------------------------------------

# What of a table a person reads, and what of it the phone says too.
_WORDS_OF = {
    "traits.json": ("label", "ask", "group", "drying_note", "meaning"),
    "flags.json": ("label", "sentence", "what_to_do", "finder_does"),
    "decay_scales.json": ("label", "meaning"),
}
_IN_SCRIPTS = ("traits.json", "flags.json")


def _data_words(root: Path) -> Iterator[Message]:
    for name, keys in _WORDS_OF.items():
        table = json.loads((root / "fixtures" / name).read_text(encoding="utf-8"))
        for text in dict.fromkeys(_texts(table, keys)):
            yield Message(text, "", f"fixtures/{name}", 0, script=name in _IN_SCRIPTS)


def _texts(value: object, keys: tuple[str, ...]) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in keys and isinstance(inner, str) and inner:
                yield inner
            else:
                yield from _texts(inner, keys)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner, keys)


# --- Placeholders ----------------------------------------------------------------------------------------

_PERCENT = re.compile(r"%\(([^)]+)\)s")


def placeholders(text: str) -> frozenset[str]:
    """The names that stand for values: `{n}` and `%(n)s`, with whatever form they are given."""
    try:
        braces = [(name, form) for _, name, form, _ in string.Formatter().parse(text) if name is not None]
    except ValueError:
        braces = []
    return frozenset(
        [*(f"{{{name}:{form}}}" if form else f"{{{name}}}" for name, form in braces)]
    ) | frozenset(f"%({name})s" for name in _PERCENT.findall(text))
