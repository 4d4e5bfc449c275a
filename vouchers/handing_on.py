"""What is told of a find's specimen wherever finds are handed on: its number, parts, whereabouts, duplicates, permits."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from ledger.exchange.media import RelationOut
from ledger.exchange.pairs import LIST
from ledger.exchange.plain import PlainColumn, PlainTable
from ledger.finds.models import Find
from ledger.handing_on.choices import Choices
from ledger.handing_on.named import people_leaving
from ledger.handing_on.providers import FindFacts, Provider
from ledger.people.models import Member
from ledger.words import english_of
from vouchers.parts.models import Part
from vouchers.permits.models import PermitUse
from vouchers.permits.queries import covers_of, text_of, written_of
from vouchers.permits.wording import KEPT_BACK, NO_PERMISSION, permission_line
from vouchers.register.book import print_book
from vouchers.register.book_rows import book_of, years_of_books
from vouchers.register.models import Voucher
from vouchers.store.away import away_times

DUPLICATE, DUPLICATE_OF = "duplicate", "duplicate of"
IN_COLLECTION, ON_LOAN, DEACCESSIONED = "in collection", "on loan", "deaccessioned"
ON_RECORD = "permit or leave on record"
_AT_ONCE = 500


def _of_finds(finds: Sequence[Find], choices: Choices) -> Mapping[UUID, FindFacts]:
    """Five queries, however many finds."""
    # The register tells every find its number, so most need not be asked about.
    numbered = [find.pk for find in finds if find.accession_number]
    rows = _vouchers(numbered) if numbered else ()
    vouchers = {voucher.find_id: voucher for voucher in rows}
    permits = covers_of(finds) if PermitUse.objects.in_force().exists() else {}
    if not vouchers and not any(permits.values()):
        return {}
    parts: dict[int, list[Part]] = {}
    of_parts = {voucher.pk: voucher for voucher in vouchers.values()}
    for part in _parts(list(of_parts)):
        part.voucher = of_parts[part.voucher_id]
        parts.setdefault(part.voucher_id, []).append(part)
    away = away_times([part.pk for held in parts.values() for part in held])
    found = {}
    for find in finds if permits else [find for find in finds if find.accession_number]:
        voucher, covers = vouchers.get(find.pk), permits.get(find.pk, ())
        if voucher is None:
            if covers:
                found[find.pk] = FindFacts(
                    {"dwc:materialEntityRemarks": _permit_words(find, covers, choices)}
                )
            continue
        permit = _permit_words(find, covers, choices)
        held = parts.get(voucher.pk, [])
        here = [part for part in held if part.ended_at is None]
        out = {part.pk for part in here if any(one.until is None for one in away.get(part.pk, ()))}
        found[find.pk] = FindFacts(
            terms={
                "dwc:catalogNumber": str(voucher),
                "dwc:otherCatalogNumbers": LIST.join(part.number for part in here if part.suffix),
                "dwc:preparations": LIST.join(dict.fromkeys(part.kind for part in here)),
                "dwc:disposition": _disposition(voucher, here, out),
                "dwc:materialEntityRemarks": permit or (english_of(NO_PERMISSION) if find.kept else ""),
            },
            relations=[_duplicate(find, part) for part in held if part.kind == DUPLICATE],
        )
    return found


def _vouchers(finds: Sequence[UUID]) -> "QuerySet[Voucher]":
    told = ("find_id", "prefix", "year", "serial", "deaccessioned_at")
    return Voucher.objects.filter(find__in=finds).only(*told).order_by()


def _parts(vouchers: Sequence[int]) -> "QuerySet[Part]":
    return (
        Part.objects.filter(voucher__in=vouchers)
        .only("voucher_id", "kind", "suffix", "ended_at")
        .order_by("id")
    )


def _permit_words(find: Find, covers: Sequence, choices: Choices) -> str:  # type: ignore[type-arg]
    """That there is a permit, or leave in words of the find or its foray, as labels and loan forms have it. The words name
    owners: they go along only where asked for, and never with a place kept back.
    """
    if not covers and not written_of(find).strip():
        return ""
    if find.blur_step_deg is not None:
        return english_of(KEPT_BACK)
    if not choices.permits:
        return ON_RECORD
    return english_of(
        permission_line([text_of(cover.permit) for cover in covers], find.found_on, written=written_of(find))
    )


def _disposition(voucher: Voucher, here: Sequence[Part], out: set[int]) -> str:
    """Where the packet is; a slide that stays while it is lent is no specimen. Without a packet: where all the rest is."""
    if voucher.deaccessioned_at is not None:
        return DEACCESSIONED
    told = [part for part in here if not part.suffix] or here
    return ON_LOAN if told and all(part.pk in out for part in told) else IN_COLLECTION


def _duplicate(find: Find, part: Part) -> RelationOut:
    # Where it went is told by the collection that has it, if it likes.
    return RelationOut(f"{find.pk}:{part.suffix}", part.number, DUPLICATE_OF, str(find.pk))


def _tables(choices: Choices, *, whole: bool) -> Iterable[PlainTable]:
    if not whole:
        return []
    return [
        PlainTable(
            "vouchers.csv",
            "the register of vouchers, in the order of its numbers",
            (
                PlainColumn("find_id", "The find's identity"),
                PlainColumn("number", "Accession number, never given again"),
                PlainColumn("accessioned_at", "When it was given, UTC"),
                PlainColumn("accessioned_by", "By whom"),
                PlainColumn(
                    "deaccessioned_at", "When the specimen left the collection, UTC; empty: it is there"
                ),
                PlainColumn("reason", "Why it left", "lost, spoiled, used up, given, mistaken, other"),
                PlainColumn("words", "The same in words"),
            ),
            _voucher_rows(),
        ),
        PlainTable(
            "parts.csv",
            "packets, slides, tubes and other parts of vouchers",
            (
                PlainColumn("number", "Number on its label"),
                PlainColumn("kind", "What it is"),
                PlainColumn("note", "Note"),
                PlainColumn("place", "Where it lies in the store, or lay last"),
                PlainColumn("made_at", "When it was made, UTC"),
                PlainColumn("ended_at", "When it was used up or given away, UTC; empty: it is there"),
                PlainColumn("why", "Why it ended"),
            ),
            _part_rows(),
        ),
    ]


def _voucher_rows() -> Iterator[Sequence[str]]:
    rows = Voucher.objects.select_related("accessioned_by").order_by("prefix", "year", "serial")
    for row in rows.iterator(chunk_size=_AT_ONCE):
        yield [
            str(row.find_id),
            str(row),
            row.accessioned_at.isoformat(timespec="seconds"),
            row.accessioned_by.full_name,
            row.deaccessioned_at.isoformat(timespec="seconds") if row.deaccessioned_at else "",
            row.deaccession_reason,
            row.deaccession_words,
        ]


def _part_rows() -> Iterator[Sequence[str]]:
    rows = Part.objects.select_related("voucher", "place").order_by("voucher_id", "id")
    for row in rows.iterator(chunk_size=_AT_ONCE):
        yield [
            row.number,
            row.kind,
            row.note,
            str(row.place) if row.place else "",
            row.made_at.isoformat(timespec="seconds"),
            row.ended_at.isoformat(timespec="seconds") if row.ended_at else "",
            row.ended_why,
        ]


def _files(choices: Choices) -> Iterator[tuple[str, str, bytes]]:
    """The register book of each year, with people as they agreed to be named."""
    now, people = timezone.now(), people_leaving()
    for year in sorted(years_of_books()):
        # Nobody in particular: a book keeps back places from everybody.
        pdf = print_book(book_of(year, Member(), people), "a4", made_at=now)
        yield f"register/register-{year}.pdf", f"the register book of {year}, to be printed", pdf


FACTS = Provider(of_finds=_of_finds, tables=_tables, files=_files)
