"""A typed name against the known ones. It offers, it never replaces: what was typed stays until a person chooses."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ledger.names.edits import allowance, edits
from ledger.names.english import EnglishName
from ledger.names.errors import TaxonNameError
from ledger.names.known import Entry, KnownNames, Taxon
from ledger.names.name import Name
from ledger.names.parse import parse_name
from ledger.words import say

MOST_CANDIDATES = 8
# Behind every slip of the finger: the same epithet under another genus may be an old combination.
_OTHER_GENUS = 20
_ORDER = ("exact", "synonym", "misapplied", "vernacular", "near")
# Endings that change when an epithet moves to a genus of another gender (betulinus, betulina, betulinum).
_GENDER = re.compile(r"(?:us|a|um|is|e)$")


@dataclass(frozen=True, slots=True)
class Candidate:
    """An accepted name that may be meant.

    kind: "exact", "synonym", "misapplied" (the name has been used for it wrongly), "vernacular" (an English name of this
    taxon and no other) or "near". `via` is the known name that was met, `edits` the slips of the finger between it and
    the typed one, `note` what a person should know.
    """

    name: str
    authority: str
    kind: str
    via: str
    edits: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """kind: "exact", "synonym", "vernacular", "near" or "none". `typed` is kept.

    `name` is what was typed as a Latin name; for an English name the Latin one it stands for; None where it is neither
    (`why`), though English names near to it may be offered. `english`: the English name that was typed, as the reference
    writes it, also where it stands for several taxa.
    """

    kind: str
    typed: str
    name: Name | None
    candidates: tuple[Candidate, ...] = ()
    why: str = ""
    english: str = ""


def match_name(typed: str | Name, known: KnownNames | Iterable[Taxon]) -> Match:
    """What the typed name may stand for, best first. Doubt (cf.) and author play no part in the comparison."""
    names = known if isinstance(known, KnownNames) else KnownNames.build(known)
    text = typed.typed if isinstance(typed, Name) else typed
    name, why = _parsed(typed)
    if name is not None and (name.unnamed or name.genus is None):
        return Match("none", text, name, why=say("No name was given."))
    candidates = _whole(name, names) if name else []
    if not candidates and (english := names.english.meant_by(text)):
        return _by_english(text, name, english)
    if not candidates:
        candidates = _near_to_any(text, name, names)
    if not candidates:
        if name:
            why = say("{name} is not in the reference, nor anything like it.", name=name.canonical)
        return Match("none", text, name, why=why)
    best = candidates[0].kind
    kind = "synonym" if best == "misapplied" else best
    return Match(kind, text, name, tuple(candidates[:MOST_CANDIDATES]), why)


def _parsed(typed: str | Name) -> tuple[Name | None, str]:
    """The name, or why it is none."""
    if isinstance(typed, Name):
        return typed, ""
    try:
        return parse_name(typed), ""
    except TaxonNameError as error:
        return None, error.args[0]


def _by_english(text: str, name: Name | None, found: Sequence[EnglishName]) -> Match:
    """An English name of one taxon stands for it; of several, or used in a broad sense, it is only offered."""
    is_sure = len({entry.accepted for entry in found}) == 1 and not found[0].is_wide
    kind = "vernacular" if is_sure else "near"
    candidates = _distinct(_english_candidate(entry, kind) for entry in found)[:MOST_CANDIDATES]
    meant = parse_name(candidates[0].name) if is_sure else name
    return Match(kind, text, meant, tuple(candidates), english=found[0].text)


def _near_to_any(text: str, name: Name | None, names: KnownNames) -> list[Candidate]:
    """Names that may be meant, Latin and English ones."""
    latin: list[Candidate] = []
    if name is not None:
        latin = _near(name, names) if name.epithet else _near_genus(name, names)
    english = [_english_candidate(entry, "near", slips) for entry, slips in names.english.near_to(text)]
    return _distinct([*latin, *english])


def _english_candidate(entry: EnglishName, kind: str, slips: int = 0) -> Candidate:
    if entry.is_local:
        note = say("{name} is a name that the club has for {taxon}", name=entry.text, taxon=entry.accepted)
    else:
        note = say("{name} is an English name of {taxon}", name=entry.text, taxon=entry.accepted)
    return Candidate(entry.accepted, entry.authority, kind, entry.text, slips, note)


def _whole(name: Name, names: KnownNames) -> list[Candidate]:
    """Candidates whose known name is the typed one, letter for letter."""
    found = names.by_canonical.get(name.canonical.casefold(), ())
    if found:
        return [_candidate(entry, entry.kind, note=_note(entry, name)) for entry in found]
    if name.epithet or name.genus is None:
        return []
    if name.canonical in names.higher:
        return [Candidate(name.canonical, "", "exact", name.canonical)]
    if any(entry.genus == name.genus and entry.kind == "exact" for entry in names.entries):
        if _epithet_in_capitals(name) is not None and (near := _capital_epithet(name, names)):
            return near
        return [Candidate(name.genus, "", "exact", name.genus)]
    return _distinct(
        _candidate(
            entry,
            "synonym",
            note=say("{name} stands in the synonym {synonym}", name=name.genus, synonym=entry.text),
        )
        for entry in names.entries
        if entry.genus == name.genus and not name.abbreviated
    )


def _near(name: Name, names: KnownNames) -> list[Candidate]:
    typed_epithet = (name.infra or name.epithet or "").casefold()
    found: list[Candidate] = []
    for entry in names.entries:
        if not entry.epithet:
            continue
        by_epithet = edits(typed_epithet, entry.epithet, allowance(entry.epithet))
        same_stem = _stem(typed_epithet) == _stem(entry.epithet)
        if by_epithet is None and not same_stem:
            continue
        slips = 0 if by_epithet == 0 else min(by_epithet or 1, 1 if same_stem else 99)
        found += _by_genus(name, entry, slips, same_stem=same_stem)
    if name.infra and (species := names.by_canonical.get(f"{name.genus} {name.epithet}".casefold())):
        note = say("the reference knows the species only")
        found += [_candidate(entry, "near", slips=1, note=note) for entry in species]
    return _distinct(found)


def _by_genus(name: Name, entry: Entry, slips: int, *, same_stem: bool) -> list[Candidate]:
    genus = name.genus or ""
    if name.abbreviated:
        if entry.genus.casefold().startswith(genus[:-1].casefold()):
            note = say("{name} may stand for {genus}", name=genus, genus=entry.genus)
            return [_candidate(entry, "near", slips=slips, note=note)]
        return []
    by_genus = edits(genus.casefold(), entry.genus.casefold(), allowance(entry.genus))
    if by_genus is not None:
        note = say("one of the two may be misspelt")
        return [_candidate(entry, "near", slips=slips + by_genus, note=note)]
    if same_stem and len(entry.epithet) >= 5:
        note = say("same epithet in another genus, {genus}", genus=entry.genus)
        return [_candidate(entry, "near", slips=_OTHER_GENUS + slips, note=note)]
    return []


def _near_genus(name: Name, names: KnownNames) -> list[Candidate]:
    """One word alone: a genus, family or order misspelt, or an epithet without its genus."""
    if (epithet := _epithet_in_capitals(name)) and (near := _near(replace(name, epithet=epithet), names)):
        return near
    typed = (name.genus or "").casefold()
    words = names.higher | {entry.genus for entry in names.entries if entry.kind == "exact"}
    found = [
        Candidate(word, "", "near", word, edits=slips, note=say("may be misspelt"))
        for word in words
        if (slips := edits(typed, word.casefold(), allowance(word))) is not None
    ]
    for entry in names.entries:
        slips = edits(typed, entry.epithet, allowance(entry.epithet)) if entry.epithet else None
        if slips is not None:
            note = say("an epithet alone: the genus is missing")
            found.append(_candidate(entry, "near", slips=slips + 1, note=note))
    return _distinct(found)


def _epithet_in_capitals(name: Name) -> str | None:
    """Versicolor in "Trametes Versicolor": read as an author, but a phone's keyboard may have made the capital."""
    if re.fullmatch(r"[^\W\d_-]{4,}(?:-[^\W\d_]+)?", name.authority):
        return name.authority.casefold()
    return None


def _capital_epithet(name: Name, names: KnownNames) -> list[Candidate]:
    epithet = _epithet_in_capitals(name)
    found = names.by_canonical.get(f"{name.genus} {epithet}".casefold(), ())
    note = say("{author} was read as an author; it may be the epithet", author=name.authority)
    return _distinct(_candidate(entry, "near", note=note) for entry in found)


def _candidate(entry: Entry, kind: str, *, slips: int = 0, note: str = "") -> Candidate:
    return Candidate(entry.accepted, entry.authority, kind, entry.text, slips, note)


def _note(entry: Entry, name: Name) -> str:
    if entry.kind == "synonym":
        return say("{name} is a synonym of {taxon}", name=entry.text, taxon=entry.accepted)
    if entry.kind == "misapplied":
        return say("the name has been misapplied: {name} is {taxon}", name=entry.text, taxon=entry.accepted)
    if name.authority and entry.authority and _squeezed(name.authority) != _squeezed(entry.authority):
        return say(
            "the author typed, {typed}, differs from that of the reference, {author}",
            typed=name.authority,
            author=entry.authority,
        )
    return ""


def _squeezed(authority: str) -> str:
    return re.sub(r"[^\w()&]", "", authority.replace(" et ", " & ")).casefold()


def _stem(epithet: str) -> str:
    return _GENDER.sub("", epithet)


def _distinct(found: Iterable[Candidate]) -> list[Candidate]:
    """One line for each accepted name, by the nearest way to it; best first, then by name."""
    best: dict[str, Candidate] = {}
    for candidate in sorted(
        found, key=lambda each: (_ORDER.index(each.kind), each.edits, each.name, each.via)
    ):
        best.setdefault(candidate.name, candidate)
    return list(best.values())
