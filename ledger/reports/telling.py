"""How a find's name, standing and people are told in reports."""

from collections.abc import Mapping

from django.utils.translation import get_language

from ledger.bench.models import Determination
from ledger.days import short_day_text
from ledger.exchange.people import NOT_NAMED as NOBODY
from ledger.exchange.people import PeopleOut
from ledger.finds.models import Find, Status
from ledger.names.authority import cite
from ledger.paper.text import Pieces
from ledger.taxa.models import Taxon
from ledger.taxa.queries import names_in
from ledger.words import Said, later, say, say_n

NOT_NAMED = later("not named")
NO_DAY = later("no day")
STANDING = {
    Status.SETTLED: later("settled"),
    Status.LOGGED: later("not settled"),
    Status.HELD: later("not settled: held for a doubt"),
    Status.SENT_BACK: later("not settled: sent back with a question"),
}


def name_of(named: Determination | None) -> Pieces:
    """The name as it was given, with its author, and the accepted one behind an old name."""
    if named is None or not named.name_typed:
        return ((say(NOT_NAMED), False),)
    taxon = named.taxon
    cited = cite(
        named.name_typed,
        accepted=taxon.name if taxon else "",
        accepted_authority=taxon.authority if taxon else "",
    )
    accepted: Pieces = ()
    if cited.accepted:
        accepted = ((" = ", False), *((part.text, part.italic) for part in cited.accepted))
    return (*((part.text, part.italic) for part in cited.whole), *accepted)


def name_of_taxon(taxon: Taxon) -> Pieces:
    return tuple(
        (part.text, part.italic)
        for part in cite(taxon.name, accepted=taxon.name, accepted_authority=taxon.authority).whole
    )


def spoken_names() -> Mapping[int, str] | None:
    """The club's names of taxa in the language of the report, one query; None in English, whose names the reference has."""
    language = (get_language() or "en").partition("-")[0]
    return None if language == "en" else names_in(language)


def spoken_name(taxon: Taxon, names: Mapping[int, str] | None) -> str:
    """A name of the taxon in the language of the report; `names`: of spoken_names. Empty where there is none."""
    return taxon.vernacular.partition("; ")[0] if names is None else names.get(taxon.pk, "")


def listed_as(named: Determination | None, names: Mapping[int, str] | None) -> tuple[str, Pieces, str]:
    """Under which name a find is counted: its key, the name, and one in the language of the report.

    A doubted name is a row of its own: cf. versicolor is not counted as versicolor. An old name is counted as the new.
    """
    if named is None or not named.name_typed:
        return "", ((say(NOT_NAMED), False),), ""
    if named.taxon is None or named.qualifier:
        return named.name_typed.casefold(), name_of(named), ""
    return named.taxon.name.casefold(), name_of_taxon(named.taxon), spoken_name(named.taxon, names)


def determined(named: Determination | None, people: PeopleOut) -> str:
    """`det. Carys Bowen, 4 Oct 2026`, as far as it is known and they agreed to be named."""
    if named is None or not named.name_typed:
        return ""
    by, day = (
        _leaving(people, named.determiner_id, named.determiner_name),
        short_day_text(named.determined_on),
    )
    return f"det. {by}, {day}" if day else f"det. {by}"


def named_by(named: Determination | None, people: PeopleOut) -> str:
    """`named by Carys Bowen, 4 Oct 2026`: who owns a wood need not know what `det.` is short for."""
    if named is None or not named.name_typed:
        return ""
    by, day = (
        _leaving(people, named.determiner_id, named.determiner_name),
        short_day_text(named.determined_on),
    )
    return say("named by {who}, {day}", who=by, day=day) if day else say("named by {who}", who=by)


def found_by(find: Find, people: PeopleOut) -> str:
    return _leaving(people, find.finder_id, find.found_by)


def _leaving(people: PeopleOut, member_id: int, other: str) -> str:
    """A person by the name they agreed to, in words where that is none."""
    name = people.named(member_id, other).name
    return say("not named here") if name == NOBODY else name


def standing(find: Find) -> str:
    return say(STANDING[Status(find.status)])


def finds_text(n: int) -> Said:
    """Return `1 find`, `2 finds`."""
    return say_n("{n} find", "{n} finds", n)
