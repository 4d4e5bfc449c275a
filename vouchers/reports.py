"""What reports tell of the collection: what was kept of a find and under which permit, and the figures of a year."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from uuid import UUID

from django.db.models import Q, Sum
from django.utils import timezone

from ledger.exchange.people import PeopleOut
from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.reports.providers import Figure, Permits, PermitSaid, Provider, Specimen
from ledger.words import Said, say, together
from vouchers.codes import kind_word
from vouchers.exchange.models import SentDuplicate
from vouchers.loans.models import LoanItem
from vouchers.parts.models import Part
from vouchers.permits.models import Permit, PermitUse
from vouchers.permits.queries import covers_of, dates_of
from vouchers.register.models import Voucher
from vouchers.register.reasons import REASONS
from vouchers.stocktake.models import Stocktake
from vouchers.store.away import away_times


class _Collection(Provider):
    def permits_of_foray(self, foray: Foray) -> Sequence[int]:
        uses = PermitUse.objects.in_force().filter(foray=foray)
        return list(uses.order_by("linked_at", "id").values_list("permit_id", flat=True))

    def permits(self, keys: Sequence[int], people: PeopleOut) -> Permits:
        rows = Permit.objects.in_bulk(keys)
        members = dict(Member.objects.values_list("full_name", "pk"))

        def holder(name: str) -> str:
            return people.named(members[name]).name if name in members else name

        return {
            key: PermitSaid(
                str(rows[key]),
                [
                    (say("Held by"), holder(rows[key].holder)),
                    (say("For"), rows[key].area),
                    (say("Dates"), dates_of(rows[key])),
                    (say("Limits"), rows[key].limits or say("none are written down")),
                    (say("Source"), rows[key].source),
                ],
            )
            for key in keys
            if key in rows
        }

    def specimens(self, finds: Sequence[Find]) -> Mapping[UUID, Specimen]:
        vouchers = {row.find_id: row for row in Voucher.objects.filter(find__in=finds)}
        parts: dict[int, list[Part]] = {}
        of_vouchers = [row.pk for row in vouchers.values()]
        for part in Part.objects.filter(voucher__in=of_vouchers, ended_at__isnull=True).order_by("id"):
            parts.setdefault(part.voucher_id, []).append(part)
        away = away_times([part.pk for held in parts.values() for part in held])
        out = {key for key, times in away.items() if any(one.until is None for one in times)}
        covers = covers_of(finds)
        found = {}
        for find in finds:
            voucher = vouchers.get(find.pk)
            lines = _lines(voucher, parts.get(voucher.pk, []), out) if voucher else ()
            found[find.pk] = Specimen(lines, {one.permit.pk: one.beyond for one in covers[find.pk]})
        return found

    def of_year(self, first: date, last: date) -> Sequence[Figure]:
        begin, end = _moment(first), _moment(last + timedelta(days=1))
        within = {"gte": begin, "lt": end}

        def of(name: str) -> Q:
            return Q(**{f"{name}__{way}": at for way, at in within.items()})

        gone = Voucher.objects.filter(of("deaccessioned_at"))
        still = Q(deaccessioned_at__isnull=True) | Q(deaccessioned_at__gte=end)
        not_back = (Q(returned_at__isnull=True) | Q(returned_at__gte=end)) & (
            Q(lost_at__isnull=True) | Q(lost_at__gte=end)
        )
        walks = Stocktake.objects.filter(of("signed_at"))
        seen = walks.aggregate(expected=Sum("expected"), seen=Sum("seen"))
        reasons = gone.order_by("deaccession_reason").values_list("deaccession_reason", flat=True).distinct()
        return [
            Figure(say("vouchers accessioned"), Voucher.objects.filter(of("accessioned_at")).count()),
            Figure(
                say("vouchers deaccessioned"),
                gone.count(),
                "; ".join(say(REASONS[one]) if one in REASONS else one for one in reasons),
            ),
            Figure(
                say("vouchers in the collection at its end"),
                Voucher.objects.filter(still, accessioned_at__lt=end).count(),
            ),
            Figure(say("parts lent"), LoanItem.objects.filter(loan__lent_on__range=(first, last)).count()),
            Figure(say("parts returned"), LoanItem.objects.filter(of("returned_at")).count()),
            Figure(say("parts lost on loan"), LoanItem.objects.filter(of("lost_at")).count()),
            Figure(
                say("parts out on loan at its end"),
                LoanItem.objects.filter(not_back, loan__lent_on__lte=last).count(),
            ),
            Figure(
                say("duplicates sent in exchange"),
                SentDuplicate.objects.filter(sending__sent_on__range=(first, last)).count(),
            ),
            Figure(
                say("stocktakes signed off"),
                walks.count(),
                say(
                    "{n} of {expected} expected parts were seen",
                    n=seen["seen"] or 0,
                    expected=seen["expected"],
                )
                if seen["expected"]
                else "",
            ),
        ]


def _lines(voucher: Voucher, parts: Sequence[Part], out: set[int]) -> list[str]:
    if voucher.deaccessioned_at is not None:
        return [_number(voucher), say("no longer in the collection")]
    kinds = together([kind_word(kind) for kind in dict.fromkeys(part.kind for part in parts)], ", ")
    lent = [part for part in parts if part.pk in out]
    if not lent:
        where = say("in the club’s collection")
    else:
        where = say("on loan") if len(lent) == len(parts) else say("partly on loan")
    return [_number(voucher), f"{kinds}; {where}" if kinds else where]


def _number(voucher: Voucher) -> Said:
    return say("accessioned as {number}", number=voucher)


def _moment(day: date) -> datetime:
    """The beginning of a day in the ledger's own zone."""
    return datetime.combine(day, time(), tzinfo=timezone.get_default_timezone())


FACTS = _Collection()
