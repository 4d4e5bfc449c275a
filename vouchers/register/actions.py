"""Taking a specimen into the collection, and out of it: a number is given once, in one locked transaction.

Locks are taken in one order everywhere: the year's counter, finds, vouchers, parts, and the head of the register last.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from functools import reduce
from typing import Any
from uuid import UUID

from django.db import transaction

from ledger.bench.models import Flag
from ledger.club.queries import the_club
from ledger.finds.flagging import recheck
from ledger.finds.history import record_change
from ledger.finds.models import Find
from ledger.moments import day_of, year_of
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.search import keeping
from ledger.words import english_of, say, say_n, together
from vouchers.parts.actions import make_first_packet
from vouchers.parts.models import Part
from vouchers.register import entries
from vouchers.register.models import RegisterYear, Voucher
from vouchers.register.reasons import LEAST_WORDS, REASONS
from vouchers.store.away import away_now


class AccessionRefused(ValueError):
    """The find cannot be accessioned; the text says why and what to do."""


class AccessionAsked(AccessionRefused):
    """The find has an open stop. `stops` are those to be confirmed first, each by somebody who has read it."""

    def __init__(self, find: Find, stops: Sequence[Flag]) -> None:
        super().__init__(
            say_n(
                "{number} has a stop that nobody has decided on. No number was given yet: it would be the "
                "find's for life.",
                "{number} has {n} stops that nobody has decided on. No number was given yet: it would be the "
                "find's for life.",
                len(stops),
                number=find.collecting_number,
            )
        )
        self.stops = tuple(stops)


class DeaccessionRefused(ValueError):
    """The voucher cannot be taken out of the collection, or back in; the text says why and what to do."""


def accession(find_id: UUID, *, by: Member, now: datetime, despite: Collection[int] = frozenset()) -> Voucher:
    """Give the find the next accession number of the club's prefix and this year, and return its voucher.

    Gapless and never twice under any number of requests at one moment: the year's counter is locked, raised and
    used in one transaction, so a number exists exactly when its voucher, its packet and its entry in the register do.
    A find that was accessioned a moment ago gives back the voucher it has. Refused: a find seen only, with no material
    taken, a mixture that was split, and one whose voucher was deaccessioned. AccessionAsked where a stop is open that is
    not among `despite`, the keys of the flags that were read and confirmed.
    """
    open_year(now)
    with transaction.atomic():
        counter = locked_year(now)
        find = Find.objects.select_for_update().get(pk=find_id)
        voucher = Voucher.objects.filter(find=find).first()
        if voucher is None:
            _refuse_split(find)
            stops = list(Flag.objects.filter(find=find, severity="stop", settled_at=None, withdrawn_at=None))
            if any(stop.pk not in despite for stop in stops):
                raise AccessionAsked(find, stops)
            # By their codes: a sentence may tell a place that is kept back, and the entry is never changed.
            open_stops = {"open stops": sorted({stop.code for stop in stops})} if stops else {}
            return take_in(find, counter, by=by, now=now, facts=open_stops)
        if voucher.deaccessioned_at is not None:
            raise AccessionRefused(
                say(
                    "{number} was {voucher} until {day}, when it was deaccessioned, and that number is retired. Nothing was "
                    "changed. If the specimen is here after all, take it back on the page of the voucher.",
                    number=find.collecting_number,
                    voucher=voucher,
                    day=day_of(voucher.deaccessioned_at),
                )
            )
        return voucher


def accession_all(find_ids: Sequence[UUID], *, by: Member, now: datetime) -> list[Voucher]:
    """Accession several finds in the order given. All get a number, or none."""
    open_year(now)
    with transaction.atomic():
        return [accession(one, by=by, now=now) for one in dict.fromkeys(find_ids)]


def _refuse_split(find: Find) -> None:
    shares = [share.collecting_number for share in find.shares.order_by("collecting_suffix")]
    if shares:
        raise AccessionRefused(
            say(
                "{number} was split into {shares}. Nothing was changed: a number is for a packet, and the mixture has none. "
                "Enter it for its shares.",
                number=find.collecting_number,
                shares=reduce(lambda told, share: say("{first} and {last}", first=told, last=share), shares),
            )
        )


def open_year(now: datetime) -> None:
    """Make the counter of this year's numbers where there is none.

    Before and outside the transaction that locks it: made inside, two first requests of a year would each make one, and
    the loser's whole transaction would be lost with it.
    """
    RegisterYear.objects.get_or_create(prefix=the_club().accession_prefix, year=year_of(now))


def locked_year(now: datetime) -> RegisterYear:
    """The counter of this year's numbers, locked until the caller's transaction ends. The first lock to take."""
    return RegisterYear.objects.select_for_update().get(prefix=the_club().accession_prefix, year=year_of(now))


def take_in(
    find: Find, counter: RegisterYear, *, by: Member, now: datetime, facts: Mapping[str, Any] | None = None
) -> Voucher:
    """Give a locked find without a voucher the next number of a locked counter. `facts` go into the entry as well."""
    if not find.kept:
        raise AccessionRefused(
            say(
                "{number} was seen only: no material was taken, so there is nothing to accession. Nothing was changed. If a "
                "specimen was kept after all, amend the find first.",
                number=find.collecting_number,
            )
        )
    counter.last_serial += 1
    counter.save(update_fields=["last_serial"])
    voucher = Voucher.objects.create(
        find=find,
        prefix=counter.prefix,
        year=counter.year,
        serial=counter.last_serial,
        accessioned_at=now,
        accessioned_by=by,
    )
    # What photos show of the packet is held against it by checks that know nothing of registers.
    find.accession_number = str(voucher)
    find.save(update_fields=["accession_number"])
    if find.photos.exclude(numbers_seen=[]).exists():
        recheck(find, now=now)
    else:
        keeping.keep(find)
    make_first_packet(voucher, by=by, now=now)
    record_change(find, field="accession number", old="", new=str(voucher), by=by, now=now)
    named = find.current_determination
    entries.append(
        entries.ACCESSION,
        str(voucher),
        {
            "find": str(find.pk),
            "collecting number": find.collecting_number,
            "found by": find.found_by_name,
            "found on": find.found_on.isoformat() if find.found_on else "",
            "name": named.name_typed if named else "",
            **(facts or {}),
        },
        by=by,
        now=now,
    )
    return voucher


@transaction.atomic
def deaccession(voucher_id: int, *, reason: str, words: str, by: Member, now: datetime) -> Voucher:
    """Take a voucher out of the collection, on record. Its number is retired; its parts that are there still end."""
    find = Find.objects.select_for_update().get(voucher=voucher_id)
    voucher = Voucher.objects.select_for_update().get(pk=voucher_id)
    words = one_line(words)
    if voucher.deaccessioned_at is not None:
        raise DeaccessionRefused(
            say(
                "{voucher} was deaccessioned on {day} already. Nothing was changed.",
                voucher=voucher,
                day=day_of(voucher.deaccessioned_at),
            )
        )
    if reason not in REASONS:
        raise DeaccessionRefused(
            say("No reason was chosen. {voucher} stays in the collection; choose one.", voucher=voucher)
        )
    if len(words) < LEAST_WORDS:
        raise DeaccessionRefused(
            say(
                "The words beside the reason are too few. {voucher} stays in the collection; say in a sentence what became "
                "of the specimen, and where it went if it went anywhere.",
                voucher=voucher,
            )
        )
    words = words[: Voucher._meta.get_field("deaccession_words").max_length]
    ended = list(Part.objects.filter(voucher=voucher).there().select_for_update())
    if away := away_now(ended):
        gone = [
            say("{part} is {away}", part=f"{voucher} {part.suffix}".rstrip(), away=away[part.pk])
            for part in ended
            if part.pk in away
        ]
        raise DeaccessionRefused(
            say(
                "{gone}. {voucher} stays in the collection; note first that it came back, or that it is lost.",
                gone=together(gone, "; "),
                voucher=voucher,
            )
        )
    why = english_of(REASONS[reason])
    Part.objects.filter(pk__in=[part.pk for part in ended]).update(ended_at=now, ended_why=why)
    voucher.deaccessioned_at, voucher.deaccessioned_by = now, by
    voucher.deaccession_reason, voucher.deaccession_words = reason, words
    voucher.save(
        update_fields=["deaccessioned_at", "deaccessioned_by", "deaccession_reason", "deaccession_words"]
    )
    record_change(find, field="deaccessioned", old=str(voucher), new=why, by=by, now=now)
    entries.append(
        entries.DEACCESSION,
        str(voucher),
        {"reason": reason, "words": words, "parts": [f"{voucher} {part.suffix}".rstrip() for part in ended]},
        by=by,
        now=now,
    )
    return voucher


@transaction.atomic
def take_back(voucher_id: int, *, words: str, by: Member, now: datetime) -> Voucher:
    """Take a deaccessioned voucher into the collection again, under its own number: a lost packet was found.

    The parts that ended with the deaccession are there again; the entries of both stay.
    """
    find = Find.objects.select_for_update().get(voucher=voucher_id)
    voucher = Voucher.objects.select_for_update().get(pk=voucher_id)
    words = one_line(words, 400)
    if voucher.deaccessioned_at is None:
        raise DeaccessionRefused(say("{voucher} is in the collection. Nothing was changed.", voucher=voucher))
    if len(words) < LEAST_WORDS:
        raise DeaccessionRefused(
            say(
                "The words are too few. {voucher} stays deaccessioned; say in a sentence how the specimen came back.",
                voucher=voucher,
            )
        )
    back = list(Part.objects.filter(voucher=voucher, ended_at=voucher.deaccessioned_at).select_for_update())
    Part.objects.filter(pk__in=[part.pk for part in back]).update(ended_at=None, ended_why="")
    voucher.deaccessioned_at = voucher.deaccessioned_by = None
    voucher.deaccession_reason = voucher.deaccession_words = ""
    voucher.save(
        update_fields=["deaccessioned_at", "deaccessioned_by", "deaccession_reason", "deaccession_words"]
    )
    record_change(find, field="taken back into the collection", old="", new=str(voucher), by=by, now=now)
    entries.append(
        entries.TAKEN_BACK,
        str(voucher),
        {"words": words, "parts": [f"{voucher} {part.suffix}".rstrip() for part in back]},
        by=by,
        now=now,
    )
    return voucher
