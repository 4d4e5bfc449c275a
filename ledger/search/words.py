"""The search box: typed words to what is meant by them, said back so that the person sees what was understood. Pure.

Any number of things side by side, all of which a find must be: `versicolor hollin Oct 2026 by Ada held`. At each word the
longest reading is taken that is sure; what is no number, date, name, person or flag is looked for as a word. Nothing is
refused: there is always a reading, if only that of plain words.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

from ledger.names.errors import TaxonNameError
from ledger.names.parse import parse_name
from ledger.search.days import LONGEST, read_days
from ledger.search.fold import fold, words_of
from ledger.search.known import Known
from ledger.search.numbers import read_number
from ledger.search.terms import (
    EVERYWHERE,
    AccessionTerm,
    AnyNumberTerm,
    BareSerialTerm,
    FlagTerm,
    NameTerm,
    NumberRangeTerm,
    NumberTerm,
    PersonTerm,
    StateTerm,
    Term,
    WhenTerm,
    WordTerm,
    either,
)
from ledger.words import later, say

LONGEST_TEXT = 200
# Most words that are taken: each is one more question to the database.
MOST_TERMS = 8
_MOST_NAME_WORDS = 7

_STATES = {
    "held": StateTerm("held", later("held")),
    "on the bench": StateTerm("held", later("held")),
    "settled": StateTerm("settled", later("settled")),
    "sent back": StateTerm("sent back", later("sent back")),
    "logged": StateTerm("logged", later("logged, with nothing held against it")),
    "mine": StateTerm("mine", later("your own")),
    "my finds": StateTerm("mine", later("your own")),
    "by me": StateTerm("mine", later("your own")),
    "me": StateTerm("mine", later("your own")),
    "unnamed": StateTerm("unnamed", later("not named")),
    "not named": StateTerm("unnamed", later("not named")),
    "no name": StateTerm("unnamed", later("not named")),
    "accessioned": StateTerm("voucher", later("with an accession number")),
    "voucher": StateTerm("voucher", later("with an accession number")),
    "vouchers": StateTerm("voucher", later("with an accession number")),
    "no date": StateTerm("undated", later("without a day")),
    "undated": StateTerm("undated", later("without a day")),
    "flagged": StateTerm("flagged", later("with an open flag")),
}
# The same as German speakers type it.
_STATES |= {
    german: _STATES[english]
    for german, english in {
        "angehalten": "held",
        "geklärt": "settled",
        "zurückgegeben": "sent back",
        "meine": "mine",
        "meine funde": "my finds",
        "eigene": "mine",
        "von mir": "by me",
        "ohne namen": "no name",
        "unbenannt": "unnamed",
        "inventarisiert": "accessioned",
        "beleg": "voucher",
        "belege": "vouchers",
        "ohne tag": "no date",
        "mit hinweis": "flagged",
    }.items()
}
NUMBERS = (NumberTerm, NumberRangeTerm, BareSerialTerm, AccessionTerm)
# Small words that say of what kind the next ones are.
_BY, _AT, _NAMED = ("by",), ("at", "in", "near", "bei"), ("named", "benannt")
_FLAG, _ON = ("flag", "flags", "hinweis", "hinweise"), ("on", "host", "an", "auf", "wirt")
_EMPTY = frozenset(
    {"and", "the", "of", "a", "with", "finds", "find", "found", "und", "mit", "von", "funde", "fund"}
)

Reading = tuple[Term, int]


@dataclass(frozen=True, slots=True)
class Understood:
    """`terms` are all to hold. `left_out`: words beyond the most that are taken."""

    typed: str = ""
    terms: tuple[Term, ...] = ()
    left_out: str = ""

    @property
    def said(self) -> list[str]:
        """What was understood, a phrase for each term."""
        return [term.said for term in self.terms]

    @property
    def phrases(self) -> list[str]:
        """The same for the eye: plain words that are looked for in the same things stand together."""
        told: list[str] = []
        for where, group in groupby(
            self.terms, lambda term: term.where if isinstance(term, WordTerm) else ""
        ):
            terms = list(group)
            if not where or len(terms) == 1:
                told += [term.said for term in terms]
            else:
                words = [f"“{term.word}”" for term in terms if isinstance(term, WordTerm)]
                told.append(
                    say(
                        "{first} and {last}, each {where}",
                        first=", ".join(words[:-1]),
                        last=words[-1],
                        where=where,
                    )
                )
        return told

    @property
    def plain_words(self) -> list[str]:
        """The words that were read as nothing but words."""
        return [term.word for term in self.terms if isinstance(term, WordTerm)]


def understand(typed: str, known: Known) -> Understood:
    """Read what was typed into the box."""
    text = " ".join(typed[:LONGEST_TEXT].translate(_QUOTES).split())
    typed_tokens = [token for token in text.split() if words_of(token)]
    tokens = [token.strip(",;") for token in typed_tokens]
    # A comma ends a number: "AT 36, AT 5" are two of them.
    commas = frozenset(at for at, token in enumerate(typed_tokens) if token[-1] in ",;")
    terms: list[Term] = []
    at = 0
    kind: tuple[str, ...] = EVERYWHERE
    while at < len(tokens) and len(terms) < MOST_TERMS:
        word = tokens[at].casefold()
        reading = None
        if kind is EVERYWHERE:
            reading = _first_of(
                tokens, at, known, (read_number, _when, _state, _flag, _person, _name), commas
            )
        else:
            # A date, a state or a person ends the words of a place: "at Hollin Wood Oct 2026 by Ada".
            reading = _first_of(tokens, at, known, (_when, _state, *((_person,) if word in _BY else ())))
        if reading is not None:
            term, used = reading
            terms.append(term)
            at, kind = at + used, EVERYWHERE
            continue
        more = at + 1 < len(tokens)
        if more and word in _AT:
            kind = ("place",)
        elif more and word in _NAMED:
            kind = ("name",)
        elif more and word in _ON:
            kind = ("host",)
        elif more and word in _BY and kind is EVERYWHERE:
            # No member is called so: a guest of a foray has a name and no account.
            kind = ("guest",)
        elif not (word in _EMPTY and len(tokens) > 1):
            terms += _as_words(tokens[at], kind, known)
        at += 1
    return Understood(text, tuple(_joined(terms)[:MOST_TERMS]), " ".join(tokens[at:]))


def _joined(terms: Sequence[Term]) -> list[Term]:
    """No find has two names, finders or numbers: of several, either is meant."""
    joined: list[Term] = []
    numbers = [one for one in terms if isinstance(one, NUMBERS)]
    if len(numbers) > 1:
        terms = [term for term in terms if not isinstance(term, NUMBERS)]
        joined.append(AnyNumberTerm(tuple(dict.fromkeys(numbers))))
    names = [term for term in terms if isinstance(term, NameTerm)]
    if len(names) > 1:
        terms = [term for term in terms if not isinstance(term, NameTerm)]
        taxa = tuple(dict.fromkeys(name for term in names for name in term.taxa))
        joined.append(NameTerm(taxa, either([names[0].said, *(term.bare for term in names[1:])])))
    people = [term for term in terms if isinstance(term, PersonTerm)]
    if len(people) > 1:
        terms = [term for term in terms if not isinstance(term, PersonTerm)]
        members = tuple(dict.fromkeys(one for term in people for one in term.members))
        joined.append(PersonTerm(members, either([people[0].said, *(term.bare for term in people[1:])])))
    return [*terms, *joined]


_QUOTES = str.maketrans(dict.fromkeys('"“”„«»()[]', " "))


def _as_words(token: str, kind: tuple[str, ...], known: Known) -> list[Term]:
    """One typed word as one or more folded ones: "quarry-edge" is two."""
    found: list[Term] = []
    for word in words_of(token):
        people = tuple(one.id for one in known.called([word])) if "guest" in kind else ()
        found.append(WordTerm(word, kind, people, known.trees.get(word) if "host" in kind else None))
    return found


def _first_of(
    tokens: Sequence[str],
    at: int,
    known: Known,
    readers: "Sequence[Callable[[list[str], Known], Term | None]]",
    commas: frozenset[int] = frozenset(),
) -> Reading | None:
    """The reading of most words from here on; of two as long the one of the earlier reader."""
    for many in range(min(LONGEST, len(tokens) - at), 0, -1):
        span = list(tokens[at : at + many])
        is_parted = any(one in commas for one in range(at, at + many - 1))
        for reader in readers:
            if is_parted and reader is read_number:
                continue
            term = reader(span, known)
            if term is not None:
                return term, many
    return None


def _when(span: list[str], known: Known) -> Term | None:
    when = read_days(" ".join(span), known.today, southern=known.southern)
    return WhenTerm(when) if when else None


def _state(span: list[str], known: Known) -> Term | None:
    return _STATES.get(" ".join(span).casefold())


def _flag(span: list[str], known: Known) -> Term | None:
    """A kind of flag by its whole label, or after "flag" by the beginnings of its words."""
    after_flag = span[0].casefold() in _FLAG and len(span) > 1
    words = [word for token in span[1 if after_flag else 0 :] for word in words_of(token)]
    if not words:
        return None
    if after_flag:
        found = known.flagged(words)
    else:
        found = {
            code: label for code, label in known.flags.items() if words_of(label) == words and len(words) > 1
        }
    if not found:
        return None
    labels = [f"“{say(label)}”" for label in found.values()]
    return FlagTerm(tuple(found), say("flagged {flags}", flags=either(labels[:3], len(labels) - 3)))


def _person(span: list[str], known: Known) -> Term | None:
    """By whom: a whole name, a collector's code in capitals, or after "by" the beginning of a name."""
    after_by = span[0].casefold() in _BY and len(span) > 1
    rest = span[1:] if after_by else span
    words = [word for token in rest for word in words_of(token)]
    if len(rest) == 1 and (rest[0].isupper() or after_by) and (one := known.coded(rest[0])):
        return PersonTerm((one.id,), say("found by {people}", people=one.name), bare=one.name)
    whole = tuple(one for one in known.people if sorted(words_of(one.name)) == sorted(words))
    people = whole if whole else (known.called(words) if after_by else ())
    if not people or (len(words) == 1 and not after_by):
        return None
    names = either([one.name for one in people[:3]], len(people) - 3)
    said = say("found by {people}", people=names)
    return PersonTerm(tuple(one.id for one in people), said, tuple(words), bare=names)


def _name(span: list[str], known: Known) -> Term | None:
    """A name or synonym of the reference, Latin or English; a family, an order, or a genus of old names."""
    line = " ".join(span)
    names, first = known.fungi.names, fold(span[0])
    if len(span) <= _MOST_NAME_WORDS and (english := names.english.meant_by(line)):
        taxa = tuple(sorted({one.accepted for one in english}))
        return _named(taxa, say("{names} ({other})", names=_listed(taxa), other=english[0].text))
    if len(span) == 1:
        taxa = known.fungi.wider.get(first, ())
        if not taxa:
            return None
        wider, listed = line.capitalize(), _listed(taxa)
        if line.casefold().endswith(("aceae", "ales")):
            said = say("{wider}: {names}", wider=wider, names=listed)
        else:
            said = say("once {wider}: {names}", wider=wider, names=listed)
        return NameTerm(taxa, said, said)
    if len(span) > _MOST_NAME_WORDS or first not in known.fungi.first_words:
        return None
    try:
        name = parse_name(line[:1].upper() + line[1:])
    except TaxonNameError:
        return None
    # An author's name is taken for one only as people write them, with a capital: else it is the next word.
    if not name.epithet or (
        name.authority and not name.authority[:1].isupper() and name.authority[:1] != "("
    ):
        return None
    if name.authority and len(span) > 2 and not _is_authority(name.authority, known, name.canonical):
        return None
    entries = names.by_canonical.get(name.canonical.casefold(), ())
    if not entries:
        return None
    taxa = tuple(dict.fromkeys(entry.accepted for entry in entries))
    older = [entry for entry in entries if entry.kind != "exact"]
    if len(older) == len(entries):
        listed, old = _listed(taxa), older[0].text
        if all(entry.kind == "misapplied" for entry in older):
            return _named(taxa, say("{names} ({old} is a misapplied name of it)", names=listed, old=old))
        return _named(taxa, say("{names} ({old} is an old name of it)", names=listed, old=old))
    return _named(taxa, _listed(taxa))


def _named(taxa: tuple[str, ...], names: str) -> NameTerm:
    return NameTerm(taxa, say("named {names}", names=names), names)


def _is_authority(authority: str, known: Known, canonical: str) -> bool:
    squeezed = "".join(words_of(authority))
    entries = known.fungi.names.by_canonical.get(canonical.casefold(), ())
    return any(entry.authority and "".join(words_of(entry.authority)) == squeezed for entry in entries)


def _listed(taxa: Sequence[str]) -> str:
    return either(taxa) if len(taxa) <= 3 else either([", ".join(taxa[:3])], len(taxa) - 3)
