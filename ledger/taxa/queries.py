"""The reference in memory, and what the taxon pages ask for."""

import json
import uuid
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.db.models import Q

from ledger.record.files import read_hosts
from ledger.taxa.models import ClubName, DocumentedRange, LookAlike, ReferenceStamp, Source, Taxon
from ledger.traits import phone_pack, ranges
from ledger.traits.calibration_values import Calibration
from ledger.traits.reference import Reference
from ledger.traits.reference_files import LookAlikePair, read_reference, read_vocabulary
from ledger.traits.vocabulary import Vocabulary


class NoReference(LookupError):
    """The database holds no reference yet; the text says what to run."""


@lru_cache(maxsize=1)
def vocabulary() -> Vocabulary:
    """Return the traits and states, read once: they change only with the program."""
    return read_vocabulary(Path(settings.FIXTURES) / "traits.json")


@lru_cache(maxsize=1)
def calibration() -> Calibration:
    """Return the measured bands, error rates and weights that `manage.py calibrate` left with the reference."""
    return Calibration.from_json(json.loads((Path(settings.FIXTURES) / "calibration.json").read_text()))


# One compiled reference per process; the last two, so that a change does not make two processes' tests thrash.
_compiled: dict[uuid.UUID, Reference] = {}


def current_reference() -> Reference:
    """Return the compiled reference of the database, the club's own ranges included.

    Costs one small query; the reference is compiled anew only when its mark has changed.
    """
    mark = ReferenceStamp.objects.values_list("mark", flat=True).first()
    if mark is None:
        raise NoReference("The ledger has no reference yet. Run: python manage.py load_reference")
    if mark not in _compiled:
        while len(_compiled) > 1:
            _compiled.pop(next(iter(_compiled)))
        _compiled[mark] = Reference.build(
            vocabulary(), stored_taxa(with_club_names=True), stored_sources(), stored_ranges(), calibration()
        )
    return _compiled[mark]


def reference_of_files() -> Reference:
    """Return the compiled reference of the fixtures alone, with no database."""
    files = read_reference(Path(settings.FIXTURES))
    return Reference.build(files.vocabulary, files.taxa, files.sources, files.ranges, calibration())


def stored_taxa(*, with_club_names: bool = False) -> list[ranges.TaxonEntry]:
    local: dict[int, list[str]] = {}
    if with_club_names:
        # Those that ended too: what was once said is understood for good.
        for taxon_id, name in ClubName.objects.order_by("id").values_list("taxon_id", "name"):
            if name not in local.setdefault(taxon_id, []):
                local[taxon_id].append(name)
    return [
        ranges.TaxonEntry(
            name=row.name,
            authority=row.authority,
            family=row.family,
            order=row.order,
            vernacular=tuple(name for name in row.vernacular.split("; ") if name),
            synonyms=tuple(synonym.name for synonym in row.synonyms.all()),
            note=row.note,
            local=tuple(local.get(row.pk, ())),
        )
        for row in Taxon.objects.prefetch_related("synonyms")
    ]


def stored_sources() -> list[ranges.Source]:
    return [
        ranges.Source(
            id=row.id, citation=row.citation, url=row.url, year=row.year, kind=row.kind, voice=row.voice
        )
        for row in Source.objects.all()
    ]


def stored_ranges(*, club_only: bool = False, books_only: bool = False) -> list[ranges.DocumentedRange]:
    """Return documented ranges as values; a club range that was ended judges nothing any more."""
    rows = DocumentedRange.objects.filter(ended_at__isnull=True)
    if club_only:
        rows = rows.filter(entered_by__isnull=False)
    if books_only:
        rows = rows.filter(entered_by__isnull=True)
    return [
        ranges.DocumentedRange(
            taxon=taxon,
            trait=trait,
            low_extreme=low_extreme,
            low=low,
            high=high,
            high_extreme=high_extreme,
            unit=unit or None,
            states=frozenset(states.split("|")) if states else frozenset(),
            condition=condition,
            source_id=source_id,
            note=note,
            doubtful=doubtful,
            binding=binding,
        )
        for (
            taxon, trait, low_extreme, low, high, high_extreme, unit, states,
            condition, source_id, note, doubtful, binding,
        ) in rows.values_list(
            "taxon__name", "trait", "low_extreme", "low", "high", "high_extreme", "unit", "states",
            "condition", "source_id", "note", "doubtful", "binding",
        )
    ]  # fmt: skip


def names_in(language: str) -> dict[int, str]:
    """Taxon to the name that the club uses for it in a language, the one that was entered first; one query."""
    rows = ClubName.objects.filter(language=language, ended_at__isnull=True)
    return dict(rows.order_by("-id").values_list("taxon_id", "name"))


def documented_look_alikes(taxon_id: int) -> list[str]:
    """The taxa that a source names as confused with this one, by name; one query."""
    pairs = LookAlike.objects.filter(Q(taxon_a=taxon_id) | Q(taxon_b=taxon_id))
    names = {
        b if one == taxon_id else a
        for one, a, b in pairs.values_list("taxon_a", "taxon_a__name", "taxon_b__name")
    }
    return sorted(names)


def stored_pairs() -> list[LookAlikePair]:
    return [
        LookAlikePair(taxon_a=a, taxon_b=b, what_parts_them=what, source_id=source)
        for a, b, what, source in LookAlike.objects.values_list(
            "taxon_a__name", "taxon_b__name", "what_parts_them", "source_id"
        )
    ]


def current_pack() -> tuple[bytes, str]:
    """Return the current reference as the phone takes it, the club's own ranges included, and the digest of that.

    Made once per reference. NoReference as in `current_reference`.
    """
    reference = current_reference()
    kept: tuple[bytes, str] | None = reference.memo.get("pack")
    if kept is None:
        hosts = read_hosts(Path(settings.FIXTURES))
        packed = phone_pack.pack(reference, stored_pairs(), hosts.by_group, hosts.genera)
        kept = reference.memo["pack"] = (phone_pack.pack_bytes(packed), phone_pack.pack_digest(packed))
    return kept
