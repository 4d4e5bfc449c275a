"""A name for the page: which pieces are Latin and lean, and which stand upright.

Genus and everything below it are italic; marks (cf., sp., var., agg., the hybrid sign) and authors are upright; names
above the genus are upright too (common practice, no source).
"""

from dataclasses import dataclass

from ledger.names.name import MARK_OF_RANK, Name

_HIGHER = ("phylum", "class", "order", "family")


@dataclass(frozen=True, slots=True)
class NamePart:
    """One run of text. role: "latin", "mark" or "authority" (which may be set smaller)."""

    text: str
    role: str
    italic: bool


def styled_parts(name: Name, *, authority: str | None = None) -> tuple[NamePart, ...]:
    """The runs of a name in order; joined they are the whole name, blanks included.

    `authority` overrules the typed one: "" leaves it out, another string is that of the reference.
    """
    words = _words(name, name.authority if authority is None else authority)
    parts: list[NamePart] = []
    for text, role, italic, tight in words:
        blank = "" if not parts or tight else " "
        if parts and (parts[-1].role, parts[-1].italic) == (role, italic):
            parts[-1] = NamePart(parts[-1].text + blank + text, role, italic)
        elif parts and italic and not parts[-1].italic:
            # The blank belongs to the upright run, so that no underline or slant spills over it.
            parts[-1] = NamePart(parts[-1].text + blank, parts[-1].role, False)
            parts.append(NamePart(text, role, italic))
        else:
            parts.append(NamePart(blank + text, role, italic))
    return tuple(parts)


def name_parts(name: Name, *, authority: str | None = None) -> tuple[tuple[str, bool], ...]:
    """The same as (text, italic)."""
    return tuple((part.text, part.italic) for part in styled_parts(name, authority=authority))


def full_text(name: Name, *, authority: str | None = None) -> str:
    """The name in one line: Trametes cf. versicolor (L.) Lloyd. It reads back as the same name."""
    return "".join(part.text for part in styled_parts(name, authority=authority))


def scientific_name(name: Name) -> str:
    """The clean name with its author, without any doubt (Darwin Core scientificName). "" if unnamed."""
    return " ".join(word for word in (name.canonical, name.authority) if word)


_Word = tuple[str, str, bool, bool]  # text, role, italic, tight to the word before


def _words(name: Name, authority: str) -> list[_Word]:
    if name.unnamed or name.genus is None:
        return [("unnamed", "mark", False, False)]
    words: list[_Word] = []
    _add_doubted(words, name, "genus", name.genus, italic=name.rank not in _HIGHER)
    if name.epithet:
        _add_doubted(words, name, "epithet", name.epithet)
    else:
        _add(words, " ".join(word for word in (name.species_unnamed, name.provisional) if word), "mark")
    if name.infra:
        _add(words, name.species_authority, "authority")
        if name.qualifier and name.qualified == "infra":
            _add(words, name.qualifier, "mark")
        _add(words, MARK_OF_RANK[name.rank or ""], "mark")
        words.append((name.infra, "latin", True, False))
    _add(words, authority, "authority")
    if name.qualifier and not name.qualified:
        _add(words, name.qualifier, "mark")
    _add(words, name.group_mark, "mark")
    _add(words, name.sense, "mark")
    return words


def _add_doubted(words: list[_Word], name: Name, part: str, text: str, *, italic: bool = True) -> None:
    """A word of the name with its hybrid sign and its doubt before it; a question mark stands close: ?caesia."""
    if name.hybrid == part:
        _add(words, "×", "mark")
    doubted = name.qualifier is not None and name.qualified == part
    if doubted:
        _add(words, name.qualifier or "", "mark")
    words.append((text, "latin", italic, doubted and name.qualifier == "?"))


def _add(words: list[_Word], text: str, role: str) -> None:
    if text:
        words.append((text, role, False, False))
