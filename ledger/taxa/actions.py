"""Writers of the reference: load it from its files, enter a range of the club's own, end it, mark a taxon sensitive."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction
from django.utils.text import slugify

from ledger.finds import sensitive
from ledger.people.models import Member
from ledger.taxa import queries
from ledger.taxa.models import ClubName, DocumentedRange, LookAlike, ReferenceStamp, Source, Synonym, Taxon
from ledger.traits import ranges
from ledger.traits.reference_files import LookAlikePair, ReferenceFiles


@dataclass(frozen=True, slots=True)
class Tally:
    """How many rows of one table came, changed, went and stayed; `kept` names rows that could not go."""

    added: int = 0
    changed: int = 0
    removed: int = 0
    same: int = 0
    kept: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LoadReport:
    """What a load did, table by table."""

    tallies: dict[str, Tally] = field(default_factory=dict)

    @property
    def anything_changed(self) -> bool:
        return any(tally.added or tally.changed or tally.removed for tally in self.tallies.values())


class ReferenceRefused(ValueError):
    """The files are sound, but the ledger's own rows stand against them; the text says which and what to do."""


@transaction.atomic
def load_reference(files: ReferenceFiles) -> LoadReport:
    """Make the database's reference that of *files*, in one transaction, and tell what changed.

    The club's own ranges and its marks of sensitivity are left alone. A taxon or source that is gone from the
    files but that finds or club ranges name stays, and is told.
    """
    _refuse_orphans(files)
    tallies = {
        "taxa": _load_taxa(files.taxa),
        "sources": _load_sources(files.sources),
        "ranges": _load_ranges(files.ranges),
        "look-alike pairs": _load_pairs(files.look_alikes),
    }
    report = LoadReport(tallies)
    tallies["taxa"] = _drop_taxa(files.taxa, tallies["taxa"])
    tallies["sources"] = _drop_sources(files.sources, tallies["sources"])
    if report.anything_changed or not ReferenceStamp.objects.exists():
        mark_changed()
    return report


def _refuse_orphans(files: ReferenceFiles) -> None:
    """Refuse a vocabulary in which a living range of the club's own would have no trait or state."""
    traits = files.vocabulary.traits
    orphans = [
        f"{value.taxon}: {value.trait}"
        for value in queries.stored_ranges(club_only=True)
        if value.trait not in traits or not value.states <= traits[value.trait].state_codes
    ]
    if orphans:
        raise ReferenceRefused(
            f"{len(orphans)} of the club's own ranges name a trait or state that the new table lacks: "
            f"{'; '.join(orphans[:5])}. Nothing was loaded; end those ranges on the taxon's page first, "
            "or keep the trait."
        )


def mark_changed() -> None:
    """Tell every process that the reference it holds is out of date."""
    ReferenceStamp.objects.update_or_create(pk=1, defaults={"mark": uuid.uuid4()})


def _load_taxa(entries: Iterable[ranges.TaxonEntry]) -> Tally:
    stored = {row.name: row for row in Taxon.objects.prefetch_related("synonyms")}
    known = {entry.name: entry for entry in queries.stored_taxa()}
    added = changed = same = 0
    for entry in entries:
        if known.get(entry.name) == entry:
            same += 1
            continue
        row = stored.get(entry.name) or Taxon(name=entry.name, slug=slugify(entry.name))
        added, changed = (added, changed + 1) if row.pk else (added + 1, changed)
        row.authority, row.family, row.order = entry.authority, entry.family, entry.order
        row.vernacular, row.note = "; ".join(entry.vernacular), entry.note
        row.save()
        row.synonyms.all().delete()
        Synonym.objects.bulk_create(Synonym(taxon=row, name=name) for name in entry.synonyms)
    return Tally(added=added, changed=changed, same=same)


def _load_sources(sources: Iterable[ranges.Source]) -> Tally:
    known = {source.id: source for source in queries.stored_sources()}
    added = changed = same = 0
    for source in sources:
        if known.get(source.id) == source:
            same += 1
            continue
        added, changed = (added, changed + 1) if source.id in known else (added + 1, changed)
        Source(
            id=source.id,
            citation=source.citation,
            url=source.url,
            year=source.year,
            kind=source.kind,
            voice=source.voice,
        ).save()
    return Tally(added=added, changed=changed, same=same)


def _load_ranges(wanted: Iterable[ranges.DocumentedRange]) -> Tally:
    # A row of a book has no name of its own: it is what it says. What says something else is another row, so a
    # corrected figure is one removed and one added.
    want = set(wanted)
    book_rows = DocumentedRange.objects.filter(entered_by__isnull=True)
    have = dict(
        zip(queries.stored_ranges(books_only=True), book_rows.values_list("id", flat=True), strict=True)
    )
    gone = [row_id for value, row_id in have.items() if value not in want]
    for start in range(0, len(gone), 500):
        DocumentedRange.objects.filter(id__in=gone[start : start + 500]).delete()
    new = sorted(want - have.keys(), key=lambda row: (row.taxon, row.trait, row.source_id, row.condition))
    taxon_ids = dict(Taxon.objects.values_list("name", "id"))
    DocumentedRange.objects.bulk_create(
        (_row_of(value, taxon_ids[value.taxon]) for value in new), batch_size=500
    )
    return Tally(added=len(new), removed=len(gone), same=len(want) - len(new))


def _row_of(value: ranges.DocumentedRange, taxon_id: int) -> DocumentedRange:
    return DocumentedRange(
        taxon_id=taxon_id,
        trait=value.trait,
        low_extreme=value.low_extreme,
        low=value.low,
        high=value.high,
        high_extreme=value.high_extreme,
        unit=value.unit or "",
        states="|".join(sorted(value.states)),
        condition=value.condition,
        source_id=value.source_id,
        note=value.note,
        doubtful=value.doubtful,
        binding=value.binding,
    )


def _load_pairs(pairs: Iterable[LookAlikePair]) -> Tally:
    have, want = queries.stored_pairs(), list(pairs)
    same = len(set(have) & set(want))
    if set(have) == set(want):
        return Tally(same=same)
    LookAlike.objects.all().delete()
    taxon_ids = dict(Taxon.objects.values_list("name", "id"))
    LookAlike.objects.bulk_create(
        LookAlike(
            taxon_a_id=taxon_ids[pair.taxon_a],
            taxon_b_id=taxon_ids[pair.taxon_b],
            what_parts_them=pair.what_parts_them,
            source_id=pair.source_id,
        )
        for pair in want
    )
    return Tally(added=len(want) - same, removed=len(have) - same, same=same)


def _drop_taxa(entries: Iterable[ranges.TaxonEntry], tally: Tally) -> Tally:
    from ledger.bench.models import (
        Determination,
    )  # the bench room knows this one; only the name is asked here

    gone = Taxon.objects.exclude(name__in=[entry.name for entry in entries])
    in_use = set(Determination.objects.filter(taxon__in=gone).values_list("taxon_id", flat=True))
    in_use |= set(ClubName.objects.filter(taxon__in=gone).values_list("taxon_id", flat=True))
    in_use |= set(DocumentedRange.objects.filter(taxon__in=gone).values_list("taxon_id", flat=True))
    kept = tuple(gone.filter(pk__in=in_use).values_list("name", flat=True))
    _, by_model = gone.exclude(pk__in=in_use).delete()
    return Tally(tally.added, tally.changed, by_model.get("ledger.Taxon", 0), tally.same, kept)


def _drop_sources(sources: Iterable[ranges.Source], tally: Tally) -> Tally:
    gone = Source.objects.exclude(id__in=[source.id for source in sources]).exclude(
        id__startswith=CLUB_SOURCE
    )
    in_use = set(DocumentedRange.objects.filter(source__in=gone).values_list("source_id", flat=True))
    _, by_model = gone.exclude(pk__in=in_use).delete()
    return Tally(
        tally.added, tally.changed, by_model.get("ledger.Source", 0), tally.same, tuple(sorted(in_use))
    )


# --- the club's own -----------------------------------------------------------------------------------------

CLUB_SOURCE = "club-"


def club_source() -> Source:
    """Return the source under which the club's own ranges stand where no other is named."""
    return Source.objects.get_or_create(
        id=f"{CLUB_SOURCE}practice",
        defaults={"citation": "The club's own practice; no published source", "kind": "common practice"},
    )[0]


@transaction.atomic
def enter_range(
    value: ranges.DocumentedRange, *, by: Member, now: datetime, source: Source | None = None
) -> DocumentedRange:
    """Enter a range of the club's own. With neither `source` nor `value.source_id` it is the club's common practice."""
    taxon = Taxon.objects.get(name=value.taxon)
    row = _row_of(value, taxon.pk)
    row.source_id = source.pk if source else value.source_id or club_source().pk
    row.entered_by, row.entered_at = by, now
    row.save()
    mark_changed()
    return row


@transaction.atomic
def end_range(row: DocumentedRange, *, reason: str, by: Member, now: datetime) -> None:
    """End a range of the club's own: it judges nothing any more and stays on record with who, when and why."""
    if row.entered_by_id is None:
        raise ValueError("Only a range of the club's own can be ended; a book's stays as the book has it.")
    if not reason.strip():
        raise ValueError("A range is ended with a reason only. Nothing was ended; say why.")
    row.ended_at, row.ended_by, row.end_reason = now, by, reason.strip()
    row.save(update_fields=["ended_at", "ended_by", "end_reason"])
    mark_changed()


@transaction.atomic
def mark_sensitive(taxon: Taxon, blur_step_deg: float | None) -> int:
    """Tell exact places of *taxon* only to those entitled; None ends it. Returns how many finds follow."""
    taxon.blur_step_deg = blur_step_deg
    taxon.save(update_fields=["blur_step_deg"])
    return sensitive.follow_taxa()
