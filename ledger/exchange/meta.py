"""meta.xml of a Darwin Core archive: written, read, and held against the rules of the text guide (TDWG, 2023-09-13).
Pure.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree
from xml.sax.saxutils import quoteattr

from ledger.exchange import terms as known
from ledger.exchange.tables import TablePlan
from ledger.words import say

META, EML = "meta.xml", "eml.xml"
_NAMESPACE = "http://rs.tdwg.org/dwc/text/"
# In the XML a tab or a line break is two characters: a backslash and a letter.
_WRITTEN = {"\\t": "\t", "\\n": "\n", "\\r": "\r", "\\r\\n": "\r\n"}
_LONGEST = 2_000_000
_CODINGS = {
    "utf-8",
    "utf8",
    "utf-16",
    "iso-8859-1",
    "latin1",
    "latin-1",
    "windows-1252",
    "cp1252",
    "us-ascii",
    "ascii",
}


class ArchiveRefused(ValueError):
    """The file is no Darwin Core archive that can be read; the text says what is wrong with it."""


@dataclass(frozen=True, slots=True)
class TableInArchive:
    """One file as meta.xml tells it. `columns`: index -> short term; `defaults`: what holds where a cell is empty."""

    row_type: str
    file: str
    key: int | None
    columns: Mapping[int, str]
    defaults: Mapping[str, str]
    is_core: bool
    coding: str = "utf-8"
    cells_end: str = ","
    lines_end: str = "\n"
    quote: str = '"'
    header_lines: int = 0

    @property
    def table(self) -> str:
        """One of `terms.TABLES`, or "" for one we do not know."""
        return known.TABLE_OF_ROW_TYPE.get(self.row_type, "")


@dataclass(frozen=True, slots=True)
class Meta:
    core: TableInArchive
    extensions: Sequence[TableInArchive] = ()
    metadata: str = ""

    @property
    def tables(self) -> list[TableInArchive]:
        return [self.core, *self.extensions]


def meta_xml(plans: Sequence[TablePlan]) -> bytes:
    """The file for these tables, the core first."""
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f'<archive xmlns="{_NAMESPACE}" metadata="{EML}">']
    for plan in plans:
        element, key = ("core", "id") if plan.is_core else ("extension", "coreid")
        lines += [
            f'  <{element} encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\\r\\n" '
            f'fieldsEnclosedBy="&quot;" ignoreHeaderLines="1" rowType="{known.ROW_TYPES[plan.table]}">',
            f"    <files><location>{plan.file}</location></files>",
            f'    <{key} index="0"/>',
        ]
        first = 0 if plan.is_core else 1
        for index, column in enumerate(plan.columns, first):
            lines.append(f'    <field index="{index}" term="{known.iri_of(column)}"/>')
        for column, value in plan.constants.items():
            lines.append(f'    <field default={quoteattr(value)} term="{known.iri_of(column)}"/>')
        lines.append(f"  </{element}>")
    return "\n".join([*lines, "</archive>", ""]).encode()


def read_meta(data: bytes) -> Meta:
    """What a meta.xml says. Raises ArchiveRefused; `broken_rules` says what the guide asks beyond."""
    root = parsed(data, META)
    if _local(root.tag) != "archive":
        raise ArchiveRefused(
            say("{file} does not hold an archive but {tag}.", file=META, tag=repr(_local(root.tag)))
        )
    cores = [child for child in root if _local(child.tag) == "core"]
    if len(cores) != 1:
        raise ArchiveRefused(
            say("{file} names {n} core tables; an archive has one.", file=META, n=len(cores))
        )
    extensions = [_table(child, is_core=False) for child in root if _local(child.tag) == "extension"]
    return Meta(_table(cores[0], is_core=True), extensions, root.get("metadata", ""))


def parsed(data: bytes, name: str) -> ElementTree.Element:
    """An XML file of another hand; one that declares entities is refused, since they can be made to grow without end."""
    if len(data) > _LONGEST:
        raise ArchiveRefused(say("{file} is longer than {most} bytes.", file=name, most=f"{_LONGEST:,}"))
    if re.search(rb"<!\s*(DOCTYPE|ENTITY)", data.replace(b"\0", b""), re.IGNORECASE):
        raise ArchiveRefused(
            say("{file} declares a document type or entities; such a file is not read.", file=name)
        )
    try:
        return ElementTree.fromstring(data)
    except ElementTree.ParseError as problem:
        raise ArchiveRefused(
            say("{file} is no XML that can be read: {problem}.", file=name, problem=str(problem))
        ) from None


def _table(element: ElementTree.Element, *, is_core: bool) -> TableInArchive:
    row_type = element.get("rowType", "")
    location = next((child.text or "" for child in element.iter() if _local(child.tag) == "location"), "")
    key = next((child for child in element if _local(child.tag) in ("id", "coreid")), None)
    columns: dict[int, str] = {}
    defaults: dict[str, str] = {}
    for field in (child for child in element if _local(child.tag) == "field"):
        term = known.short_of(field.get("term", "").strip())
        index = _whole(field.get("index"), "index")
        if index is not None:
            if index in columns:
                raise ArchiveRefused(
                    say(
                        "{file} gives column {column} of {table} two terms.",
                        file=META,
                        column=index,
                        table=location,
                    )
                )
            columns[index] = term
        if field.get("default") is not None:
            defaults[term] = field.get("default", "")
    coding = element.get("encoding", "UTF-8").strip().lower()
    if coding not in _CODINGS:
        raise ArchiveRefused(
            say(
                "{file} says that {table} is written in {coding}, which is not known here.",
                file=META,
                table=location,
                coding=repr(coding[:40]),
            )
        )
    return TableInArchive(
        row_type=row_type,
        file=location.strip(),
        key=_whole(key.get("index"), "index") if key is not None else None,
        columns=columns,
        defaults=defaults,
        is_core=is_core,
        coding=coding,
        cells_end=_sign(element.get("fieldsTerminatedBy", ",")),
        lines_end=_sign(element.get("linesTerminatedBy", "\\n")),
        quote=_sign(element.get("fieldsEnclosedBy", '"')),
        header_lines=_whole(element.get("ignoreHeaderLines", "0"), "ignoreHeaderLines") or 0,
    )


def broken_rules(meta: Meta, names: Sequence[str], widths: Mapping[str, int] | None = None) -> list[str]:
    """What the text guide asks and the schema does not, in sentences; `names` are the files there are, `widths`
    columns.
    """
    wrong: list[str] = []
    for table in meta.tables:
        said = table.file or say("a table without a file")
        if not table.row_type:
            wrong.append(say("{table} has no row type.", table=said))
        if table.file not in names:
            wrong.append(_not_there(said))
        if table.key is None:
            if not table.is_core:
                wrong.append(say("{table} has no coreid, so that its rows belong to nothing.", table=said))
            elif meta.extensions:
                wrong.append(say("{table}, the core, has no id, although there are extensions.", table=said))
        width = (widths or {}).get(table.file)
        if width is not None:
            used = [*table.columns, *([table.key] if table.key is not None else [])]
            wrong += [
                say(
                    "{table} has {n} columns; {file} names one at {place}.",
                    table=said,
                    n=width,
                    file=META,
                    place=index,
                )
                for index in used
                if index >= width
            ]
        told = list(table.columns.values())
        wrong += [
            say("{table} has two columns for {term}.", table=said, term=term)
            for term in sorted({one for one in told if told.count(one) > 1})
        ]
    if meta.metadata and meta.metadata not in names:
        wrong.append(_not_there(meta.metadata))
    return wrong


def _not_there(file: str) -> str:
    return say("{table} is named in {file} and is not in the archive.", table=file, file=META)


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def _sign(text: str) -> str:
    return _WRITTEN.get(text, text)


def _whole(text: str | None, what: str) -> int | None:
    if text is None:
        return None
    if not text.strip().isdecimal() or len(text.strip()) > 6:
        raise ArchiveRefused(
            say(
                "{file} has {text} as {what}; it is a whole number from 0.",
                file=META,
                text=repr(text[:40]),
                what=what,
            )
        )
    return int(text)
