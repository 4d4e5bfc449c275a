"""The report of a foray for the owner of the land: what was found there, what was taken, and under which leave.

It leaves the club, and names the place. So a find whose place is kept back is not in it at all, as in every list by foray
that leaves the club; people are named as they agreed; and of what was written freely it tells the leave alone.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice
from typing import NamedTuple

from ledger.club.queries import the_club
from ledger.days import day_text, short_day_text
from ledger.exchange.people import NOT_NAMED, PeopleOut
from ledger.finds.access import place_leaving, with_foray_told
from ledger.finds.models import Find, Status
from ledger.forays.models import Foray
from ledger.handing_on.named import people_leaving
from ledger.moments import day_of
from ledger.paper.text import Pieces
from ledger.people.models import Member, Role
from ledger.reports.cautions import cautions
from ledger.reports.providers import PermitSaid, Specimen, provider
from ledger.reports.sheet import Block, Cell, Column, Facts, Report, Table, Words, cell
from ledger.reports.telling import (
    NO_DAY,
    finds_text,
    found_by,
    listed_as,
    name_of,
    named_by,
    spoken_names,
    standing,
)
from ledger.words import Said, later, say, say_n

AT_ONCE = 500
LEFT_OUT = later(
    "Finds whose place the club keeps back are left out, with what was taken of them: this report names the place. Ask the "
    "club if you wish to know of such finds on your land."
)
SPLIT = later("a mixed gathering; its shares stand by themselves")
NONE_ON_RECORD = later("none on record")


def may_make(member: Member, foray: Foray) -> bool:
    """The leader of that foray, and curators: they may know the places of all its finds."""
    return member.is_curator or (foray.leader_id == member.pk and member.at_least(Role.LEADER))


@dataclass(frozen=True, slots=True)
class Choices:
    """`one_by_one`: each find is listed, and not the taxa alone.

    `settled_only`: names that are settled and no others; what was taken is told all the same.
    """

    one_by_one: bool = False
    settled_only: bool = False


class _Taken(NamedTuple):
    number: str
    name: Pieces
    day: str
    lines: Sequence[str]
    under: Sequence[
        tuple[int | str, str]
    ]  # key of the permit, or the words that were written; why it is beyond


@dataclass(slots=True)
class _Taxon:
    name: Pieces
    spoken: str
    finds: int = 0
    settled: int = 0
    taken: int = 0


@dataclass(slots=True)
class _Gathered:
    names: Mapping[int, str] | None
    taxa: dict[str, _Taxon] = field(default_factory=dict)
    rows: list[Sequence[Cell]] = field(default_factory=list)
    taken: list[_Taken] = field(default_factory=list)
    people: set[str] = field(default_factory=set)
    finders: set[tuple[int, str]] = field(default_factory=set)
    finds: int = 0
    settled: int = 0


def left_out_of(foray: Foray) -> int:
    """How many finds of the foray are kept back from the report: for its maker's eyes, who may know."""
    return foray.finds.count() - with_foray_told(foray.finds.all()).count()


def of_other_days(foray: Foray) -> list[str]:
    """Number and day of finds in the report whose day is not the foray's, as a slip of the pen makes it: for its maker."""
    rows = with_foray_told(foray.finds.exclude(found_on=foray.held_on)).order_by(
        "collecting_code", "collecting_serial", "collecting_suffix", "pk"
    )
    return [f"{one.collecting_number} ({short_day_text(one.found_on) or say(NO_DAY)})" for one in rows]


def owner_report(foray: Foray, choices: Choices, *, now: datetime) -> Report:
    """Gather the report; the same whoever asks for it."""
    people, club = people_leaving(), the_club()
    found = _gather(foray, choices, people)
    of_foray = list(provider().permits_of_foray(foray))
    permits = _permits_in_order(of_foray, foray, found.taken, people)
    blocks: list[Block] = [
        Facts("", _facts(foray, found, people)),
        *_permit_blocks(permits),
        _taxa_table(found, choices),
        _taken_table(found, {key: at + 1 for at, key in enumerate(permits)}),
    ]
    if choices.one_by_one:
        blocks.append(_finds_table(found))
    return Report(
        what=say("Report for the owner of the land"),
        of=f"{foray.name}, {day_text(foray.held_on)}",
        club=club.heading,
        made=day_of(now),
        blocks=blocks,
        cautions=cautions(poison_centre=club.poison_centre, for_owner=True),
        filed_as=f"owners-report-{foray.held_on:%Y-%m-%d}",
    )


# --- reading ---


def _gather(foray: Foray, choices: Choices, people: PeopleOut) -> _Gathered:
    found = _Gathered(names=spoken_names())
    for finds in _in_lists(foray):
        kept = [find for find in finds if find.kept]
        specimens = dict(provider().specimens(kept)) if kept else {}
        for key in Find.objects.filter(split_from__in=kept).values_list("split_from_id", flat=True):
            specimens[key] = Specimen((say(SPLIT),), specimens[key].under if key in specimens else {})
        for find in finds:
            _add(found, find, specimens.get(find.pk, Specimen()), choices, people)
    return found


def _in_lists(foray: Foray) -> Iterator[Sequence[Find]]:
    rows = with_foray_told(foray.finds.for_list())
    ordered = rows.order_by("collecting_code", "collecting_serial", "collecting_suffix", "pk")
    waiting = ordered.iterator(chunk_size=AT_ONCE)
    while finds := list(islice(waiting, AT_ONCE)):
        yield finds


def _add(found: _Gathered, find: Find, specimen: Specimen, choices: Choices, people: PeopleOut) -> None:
    settled = find.status == Status.SETTLED
    with_name = settled or not choices.settled_only
    if with_name:
        key, name, spoken = listed_as(find.current_determination, found.names)
        taxon = found.taxa.setdefault(key, _Taxon(name, spoken))
        taxon.finds += 1
        taxon.settled += settled
        taxon.taken += find.kept
    found.finds += 1
    found.settled += settled
    found.people.add(people.named(find.finder_id, find.found_by).name)
    found.finders.add((0, find.found_by) if find.found_by else (find.finder_id, ""))
    if find.kept:
        lines = specimen.lines or (say("kept; it has no number in the collection yet"),)
        # As everywhere: what was written of leave is told where no permit is linked.
        written = find.permission or (find.foray.permission if find.foray else "")
        under: list[tuple[int | str, str]] = list(specimen.under.items())
        if not under and written.strip():
            under = [(written.strip(), "")]
        found.taken.append(
            _Taken(
                find.collecting_number,
                name_of(find.current_determination) if with_name else ((say("name not settled"), False),),
                short_day_text(find.found_on),
                lines,
                under,
            )
        )
    if choices.one_by_one and with_name:
        found.rows.append(_find_row(find, specimen, people))


def _find_row(find: Find, specimen: Specimen, people: PeopleOut) -> Sequence[Cell]:
    place = place_leaving(find)
    named = find.current_determination
    return (
        cell(find.collecting_number, short_day_text(find.found_on) or NO_DAY),
        Cell(name_of(named), tuple(line for line in (named_by(named, people), standing(find)) if line)),
        cell(place.short or say("not written down")),
        cell(found_by(find, people)),
        cell(say("taken") if find.kept else say("seen only")),
    )


def _permits_in_order(
    of_foray: Sequence[int], foray: Foray, taken: Sequence[_Taken], people: PeopleOut
) -> dict[int | str, PermitSaid]:
    """The foray's own first, then those of single finds, then what was written without a permit."""
    keys = dict.fromkeys([*of_foray, *(key for one in taken for key, _ in one.under)])
    numbers = [key for key in keys if isinstance(key, int)]
    found: dict[int | str, PermitSaid] = {**provider().permits(numbers, people)}
    written = [key for key in keys if isinstance(key, str)]
    if not of_foray and foray.permission.strip():
        written.insert(0, foray.permission.strip())
    for words in dict.fromkeys(written):
        found[words] = PermitSaid(words, [(say("Source"), say("as the club wrote it down"))])
    return found


# --- telling ---


def _facts(foray: Foray, found: _Gathered, people: PeopleOut) -> list[tuple[str, Sequence[str]]]:
    named = sorted(found.people - {NOT_NAMED}, key=str.casefold)
    guests = sum(1 for _, guest in found.finders if guest and guest not in people.agreed)
    others = (
        [say_n("and {n} guest not named here", "and {n} guests not named here", guests)] if guests else []
    )
    codes = set(Member.objects.filter(named_outside=False).values_list("collector_code", flat=True))
    by = [", ".join([*named, *others])]
    if codes & {*named, people.named(foray.leader_id).name}:
        by.append(say("Capital letters stand for members who have not said that they may be named."))
    looked = say_n(
        "{finds} by {n} person. What is not listed was not found, which is not the same as not there.",
        "{finds} by {n} people. What is not listed was not found, which is not the same as not there.",
        len(found.finders),
        finds=finds_text(found.finds),
    )
    return [
        (say("Date"), [day_text(foray.held_on)]),
        (say("Place"), [foray.place or say("not written down")]),
        (say("Led by"), [people.named(foray.leader_id).name]),
        (say("Found"), [looked]),
        *([(say("Found by"), by)] if found.people else []),
        (say("Left out"), [say(LEFT_OUT)]),
    ]


def _permit_blocks(permits: dict[int | str, PermitSaid]) -> list[Block]:
    heading = say("Permit or leave")
    if not permits:
        return [Words(heading, [say("No permit or leave is on record for this foray.")])]
    return [
        Facts(
            heading if at == 0 else "",
            [
                (_number(at + 1), said.called.splitlines() or [""]),
                *((word, text.splitlines() or [""]) for word, text in said.says),
            ],
        )
        for at, said in enumerate(permits.values())
    ]


def _taxa_table(found: _Gathered, choices: Choices) -> Table:
    # Without a name last; the others as they are written.
    rows = sorted(found.taxa.items(), key=lambda one: (not one[0], one[0]))
    not_settled = found.finds - found.settled
    said: list[str] = []
    if not_settled and choices.settled_only:
        said.append(
            say_n(
                "{n} find of {of} is left out of this list: its name is not settled.",
                "{n} finds of {of} are left out of this list: their names are not settled.",
                not_settled,
                of=found.finds,
            )
        )
    elif not_settled:
        said.append(
            say_n(
                "{n} find of {of} is not settled: the name may change.",
                "{n} finds of {of} are not settled: the name may change.",
                not_settled,
                of=found.finds,
            )
        )
    return Table(
        say("What was found"),
        (
            Column(say("Name"), 3),
            Column(say("In English"), 1.6),
            Column(say("Finds"), is_figures=True),
            Column(say("Settled"), is_figures=True),
            Column(say("Not settled"), is_figures=True),
            Column(say("Taken"), is_figures=True),
        ),
        [
            (
                Cell(one.name),
                cell(one.spoken),
                *(cell(n) for n in (one.finds, one.settled, one.finds - one.settled, one.taken)),
            )
            for _, one in rows
        ],
        say("No name is settled yet.")
        if found.finds
        else say("No find of this foray is in the ledger that this report may tell."),
        said,
    )


def _taken_table(found: _Gathered, numbers: dict[int | str, int]) -> Table:
    seen = found.finds - len(found.taken)
    said: list[str] = []
    if found.taken and not seen:
        said.append(
            say_n("Material was taken of the one find.", "Material was taken of all {n} finds.", found.finds)
        )
    elif found.taken:
        said.append(
            say_n(
                "Of {finds} material was taken; {n} find was looked at and left.",
                "Of {finds} material was taken; {n} finds were looked at and left.",
                seen,
                finds=finds_text(len(found.taken)),
            )
        )
    without = sum(not one.under for one in found.taken)
    if without:
        said.append(
            say_n(
                "For {n} find of them no permit or leave is on record.",
                "For {n} finds of them no permit or leave is on record.",
                without,
            )
        )
    return Table(
        say("What was taken"),
        (
            Column(say("Number"), 1.1),
            Column(say("Name"), 2.2),
            Column(say("Kept as"), 2),
            Column(say("Under"), 1.5),
        ),
        [
            (
                cell(one.number, one.day),
                Cell(one.name),
                cell(one.lines[0], *one.lines[1:]),
                cell(*_under(one, numbers)),
            )
            for one in found.taken
        ],
        say("Nothing was taken: what was found was looked at and left.")
        if found.finds
        else say("Nothing was taken."),
        said,
    )


def _under(one: _Taken, numbers: dict[int | str, int]) -> list[str]:
    if not one.under:
        return [say(NONE_ON_RECORD)]
    said = ", ".join(_number(numbers[key]) for key, _ in one.under)
    beyond = [f"{_number(numbers[key])}: {why}" for key, why in one.under if why]
    return [said, *beyond]


def _number(n: int) -> Said:
    return say("No. {n}", n=n)


def _finds_table(found: _Gathered) -> Table:
    return Table(
        say("Find by find"),
        (
            Column(say("Number"), 0.9),
            Column(say("Name"), 2.4),
            Column(say("Place"), 1.7),
            Column(say("Found by"), 1),
            Column(say("Material"), 1.1),
        ),
        found.rows,
        say("No find is listed."),
    )
