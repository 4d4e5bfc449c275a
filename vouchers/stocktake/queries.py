"""Stocktakes for screens and for the phone: rows gathered, held against one another by compare.py, told in sentences."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Max, Q, QuerySet
from django.utils import timezone

from ledger.moments import local_day
from ledger.words import say, say_n
from vouchers.codes import ForeignCode, PartCode, PlaceCode, TrayCode, VoucherCode
from vouchers.parts.models import Part
from vouchers.register.lookup import read
from vouchers.register.numbers import AccessionNumber
from vouchers.register.queries import own_prefixes
from vouchers.stocktake import compare
from vouchers.stocktake.models import Settlement, Sighting, Stocktake
from vouchers.stocktake.said import NO_TEXT, LastSeen, code_shown, said
from vouchers.stocktake.ways import ELSEWHERE, KIND_WORDS
from vouchers.store.away import away_times
from vouchers.store.models import Move
from vouchers.store.queries import Tree


@dataclass(frozen=True, slots=True)
class Shown:
    """A difference as it is shown: `said` is what differs, `last` what is known from before."""

    finding: compare.Finding
    said: str
    last: str
    part: Part | None

    @property
    def key(self) -> str:
        return self.finding.key

    @property
    def kind(self) -> str:
        return self.finding.kind

    @property
    def kind_words(self) -> str:
        return KIND_WORDS[self.finding.kind]

    @property
    def text(self) -> str:
        return self.finding.text

    @property
    def text_shown(self) -> str:
        return code_shown(self.finding.text)

    @property
    def places(self) -> tuple[int, ...]:
        return self.finding.places


@dataclass(frozen=True, slots=True)
class Standing:
    """How far a stocktake has come. `open`: differences to be settled; `settled`: those that were, the oldest first.

    `not_walked`: ways of the places where parts are expected and nothing was seen. `record`: what it was held against.
    """

    open: tuple[Shown, ...]
    settled: tuple[Settlement, ...]
    tally: compare.Tally
    sightings: int
    not_walked: tuple[str, ...]
    record: tuple[compare.Kept, ...]

    @property
    def unseen(self) -> tuple[Shown, ...]:
        """What was not seen yet, and is missing if the walk is done."""
        return tuple(one for one in self.open if one.kind == compare.MISSING)

    @property
    def differences(self) -> tuple[Shown, ...]:
        """What was seen and differs from the record."""
        return tuple(one for one in self.open if one.kind != compare.MISSING)

    @property
    def why_not_signed(self) -> str:
        """Why it cannot be signed off as it stands; empty where it can."""
        if self.open:
            return say_n(
                "One difference is not settled yet. It stays open; settle it, then sign it off.",
                "{n} differences are not settled yet. It stays open; settle each, then sign it off.",
                len(self.open),
            )
        if not self.sightings:
            return say(
                "Nothing was seen yet, so there is nothing to sign. It stays open; walk it, or give it up with a reason."
            )
        return ""

    def open_finding(self, key: str) -> Shown | None:
        return next((one for one in self.open if one.key == key), None)


def standing(stocktake: Stocktake) -> Standing:
    """Hold what was seen against the record, or of one that was signed off, against the record as it was signed.

    Eight queries, however many parts.
    """
    tree = Tree.load()
    sightings = list(stocktake.sightings.filter(taken_back_at__isnull=True).select_related("part__voucher"))
    parts = _parts(stocktake)
    if stocktake.record is None:
        record = _record(parts.values(), stocktake.opened_at, stocktake.signed_at or stocktake.given_up_at)
    else:
        record = compare.kept_of(stocktake.record)
    seen = [one for row in sightings if (one := _seen(row, tree)) is not None]
    result = compare.compare(record, seen, frozenset(stocktake.scope), stocktake.opened_at)
    find = "part__voucher__find"
    settled = tuple(
        stocktake.settlements.select_related("by", f"{find}__foray", f"{find}__current_determination__taxon")
    )
    done = {row.key for row in settled}
    left = [finding for finding in result.findings if finding.key not in done]
    kept_as = {kept.number: kept for kept in record}
    by_number = {part.number: part for part in parts.values()}
    last = last_seen([by_number[one.text].pk for one in left if one.kind == compare.MISSING], stocktake)
    shown = []
    for finding in left:
        part = by_number.get(finding.text)
        known = last.get(part.pk) if part is not None else None
        told = said(finding, tree.words, kept_as.get(finding.text))
        shown.append(
            Shown(
                finding,
                told,
                known.sentence(tree.words, finding.recorded, on_a_walk=True) if known else "",
                part,
            )
        )
    walked = {row.place_id for row in sightings}
    wanting = {
        kept.place
        for kept in record
        if kept.number in result.expected and not kept.moves and kept.ended_at is None
    } - walked
    return Standing(
        open=tuple(shown),
        settled=settled,
        tally=compare.tally(
            result,
            {row.text: row.way == ELSEWHERE.code for row in settled if row.kind == compare.MISSING},
        ),
        sightings=len(sightings),
        not_walked=tuple(sorted(tree.words(place) for place in wanting)),
        record=tuple(record),
    )


def _parts(stocktake: Stocktake) -> dict[int, Part]:
    """Every part that was in the scope at the opening or since, and every part that was seen."""
    since = Move.objects.filter(at__gt=stocktake.opened_at)
    seen = stocktake.sightings.filter(taken_back_at__isnull=True, part__isnull=False)
    rows = Part.objects.with_number().filter(
        Q(place__in=stocktake.scope) & (Q(ended_at__isnull=True) | Q(ended_at__gt=stocktake.opened_at))
        | Q(pk__in=since.filter(from_place__in=stocktake.scope).values("part"))
        | Q(pk__in=seen.values("part"))
    )
    return {part.pk: part for part in rows}


def _record(parts: Iterable[Part], opened: datetime, ended: datetime | None) -> list[compare.Kept]:
    """The record at the opening, and what was done since; of a stocktake that has ended, up to then."""
    rows = list(parts)

    def is_later(at: datetime | None) -> bool:
        return ended is not None and at is not None and at > ended

    moves: dict[int, list[Move]] = {}
    for one in Move.objects.filter(at__gt=opened).order_by("at", "pk"):
        moves.setdefault(one.part_id, []).append(one)
    away = away_times([part.pk for part in rows], since=opened)
    return [
        compare.Kept(
            number=part.number,
            place=moves[part.pk][0].from_place_id if part.pk in moves else part.place_id,
            made_at=part.made_at,
            moves=tuple((one.at, one.to_place_id) for one in moves.get(part.pk, ()) if not is_later(one.at)),
            ended_at=None
            if part.ended_at is None or is_later(part.ended_at)
            else timezone.localtime(part.ended_at),
            # A loan has a day and no hour: one of the day of the stocktake, entered after it, begins before it.
            away=tuple(one for one in away.get(part.pk, ()) if not is_later(one.entered_at or one.since)),
        )
        for part in rows
    ]


def _seen(row: Sighting, tree: Tree) -> compare.Seen | None:
    """A sighting as compare.py takes it; None for the label of a place, which only says where somebody stood."""
    number, why, text = (row.part.number, "", row.part.number) if row.part else (None, "", row.text)
    if number is None:
        code = read(row.text)
        text = code.text or NO_TEXT.english
        if isinstance(code, PlaceCode):
            if any(place.number == code.place for place in tree.places.values()):
                return None
            why = "no such place"
        elif isinstance(code, VoucherCode | PartCode):
            why = "never given"
        elif isinstance(code, ForeignCode):
            why = "another collection"
        else:
            why = "a tray" if isinstance(code, TrayCode) else "no code of ours"
    return compare.Seen(text, number, row.place_id, row.seen_at, row.by_id, why)


def last_seen(part_ids: Iterable[int], before: Stocktake | None = None) -> dict[int, LastSeen]:
    """When and where each part was last seen on a walk or put somewhere, and the last signed stocktake that missed it."""
    keys = list(part_ids)
    walks = Sighting.objects.filter(part__in=keys, taken_back_at__isnull=True)
    if before is not None:
        walks = walks.exclude(stocktake=before)
    found: dict[int, LastSeen] = {}
    for row in walks.order_by("seen_at").values("part", "place", "seen_at"):
        found[row["part"]] = LastSeen(local_day(row["seen_at"]), row["place"], is_walk=True)
    newest = Move.objects.filter(part__in=keys).values("part").annotate(last=Max("pk")).values("last")
    for one in Move.objects.filter(pk__in=newest):
        known = found.get(one.part_id)
        if known is None or known.on <= local_day(one.at):
            found[one.part_id] = LastSeen(local_day(one.at), one.to_place_id, is_walk=False)
    missed = Settlement.objects.filter(
        part__in=keys, kind=compare.MISSING, way="stays missing", stocktake__signed_at__isnull=False
    )
    if before is not None:
        missed = missed.exclude(stocktake=before)
    for row in missed.order_by("at").values("part", "stocktake__signed_at"):
        known = found.get(row["part"]) or LastSeen(None, None, is_walk=False)
        found[row["part"]] = known.missed(local_day(row["stocktake__signed_at"]))
    return found


def last_signed(places: Iterable[int]) -> dict[int, date]:
    """Place -> the day on which a stocktake that held it was last signed off."""
    wanted = set(places)
    found: dict[int, date] = {}
    for scope, signed in (
        Stocktake.objects.filter(signed_at__isnull=False)
        .order_by("signed_at")
        .values_list("scope", "signed_at")
    ):
        for place in wanted.intersection(scope):
            found[place] = local_day(signed)
    return found


def for_list() -> QuerySet[Stocktake]:
    return Stocktake.objects.select_related("place", "opened_by", "signed_by")


def for_phone(stocktake: Stocktake) -> Mapping[str, Any]:
    """What a phone needs to walk without a signal. Names and numbers only: nothing of where a find was made.

    `parts`: [number, number of its place on record or null, name]; of the whole store, so that a packet from elsewhere is
    known. `places`: [number, kind, way, whether it is part of the walk].
    """
    tree = Tree.load()
    scope = set(stocktake.scope)
    # Plain values: a large store has tens of thousands of parts.
    rows = (
        Part.objects.there()
        .order_by("voucher_id", "id")
        .values_list(
            "voucher__prefix",
            "voucher__year",
            "voucher__serial",
            "suffix",
            "place",
            "voucher__find__current_determination__name_typed",
        )
    )
    return {
        "id": stocktake.pk,
        "place": tree.words(stocktake.place_id),
        "opened_at": stocktake.opened_at.isoformat(),
        "is_open": stocktake.is_open,
        "prefixes": own_prefixes(),
        "places": [
            [place.number, place.kind, tree.words(place.pk), place.pk in scope]
            for place in tree.places.values()
            if place.closed_at is None
        ],
        "parts": [
            [
                f"{AccessionNumber(prefix, year, serial)} {suffix}".rstrip(),
                tree.places[place].number if place else None,
                name or "",
            ]
            for prefix, year, serial, suffix, place, name in rows
        ],
    }


def last_signed_before(stocktake: Stocktake) -> Stocktake | None:
    """The stocktake of that place, or of one around it, that was signed off last before this one."""
    before = Stocktake.objects.filter(signed_at__lt=stocktake.opened_at).select_related("signed_by")
    return next((one for one in before.order_by("-signed_at") if stocktake.place_id in one.scope), None)
