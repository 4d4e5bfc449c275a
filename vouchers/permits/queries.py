"""Permits for screens and for whatever leaves the club."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from ledger.finds.models import Find
from vouchers.permits.models import Permit, PermitUse
from vouchers.permits.wording import PermitText, beyond_dates, dates_text, permission_line
from vouchers.register.models import Voucher


@dataclass(frozen=True, slots=True)
class Cover:
    """One permit of one find: by which link, and where its dates do not cover the day, why."""

    permit: Permit
    use: PermitUse
    beyond: str


def permission_texts(vouchers: Iterable[Voucher]) -> dict[int, str]:
    """By key of the voucher in one line: under which permit or leave it was taken; that none is on record where none is.

    For what leaves the club: the loan form and the labels of duplicates. Of a sensitive place it names no owner. One query
    however many, if their finds came with foray and taxon.
    """
    vouchers = list(vouchers)
    covers = covers_of([voucher.find for voucher in vouchers])
    return {
        voucher.pk: permission_line(
            [text_of(cover.permit) for cover in covers[voucher.find_id]],
            voucher.find.found_on,
            written=written_of(voucher.find),
            kept_back=voucher.find.blur_step_deg is not None,
        )
        for voucher in vouchers
    }


def written_of(find: Find) -> str:
    """What was written of leave with the find, else with its foray."""
    return find.permission or (find.foray.permission if find.foray else "")


def covers_of(finds: Sequence[Find]) -> dict[UUID, list[Cover]]:
    """The permits of each find, those linked to it alone first, then those of its foray; one query however many."""
    forays = {find.foray_id for find in finds if find.foray_id}
    above = {pk for find in finds for pk in (find.pk, find.split_from_id) if pk}
    uses = list(
        PermitUse.objects.in_force()
        .filter(Q(find_id__in=above) | Q(foray_id__in=forays))
        .select_related("permit", "foray")
    )
    covers: dict[UUID, list[Cover]] = {}
    for find in finds:
        found: dict[int, Cover] = {}
        own = [use for use in uses if use.find_id and use.find_id in (find.pk, find.split_from_id)]
        by_foray = [use for use in uses if use.foray_id and use.foray_id == find.foray_id]
        for use in (*own, *by_foray):
            beyond = beyond_dates(text_of(use.permit), find.found_on)
            found.setdefault(use.permit_id, Cover(use.permit, use, beyond))
        covers[find.pk] = list(found.values())
    return covers


def text_of(permit: Permit) -> PermitText:
    return PermitText(permit.issuer, permit.reference, permit.holder, permit.valid_from, permit.valid_until)


def dates_of(permit: Permit) -> str:
    return dates_text(permit.valid_from, permit.valid_until)


def for_list() -> QuerySet[Permit]:
    """Permits with how many forays and single finds go under them, the latest end first, open ends before all."""
    in_force = Q(uses__ended_at__isnull=True)
    rows: QuerySet[Permit] = Permit.objects.annotate(
        foray_count=Count("uses", filter=in_force & Q(uses__foray__isnull=False), distinct=True),
        find_count=Count("uses", filter=in_force & Q(uses__find__isnull=False), distinct=True),
    )
    # Grouping drops the order of the model.
    return rows.order_by("-valid_from", "issuer", "pk")


def finds_under(permit: Permit) -> QuerySet[Find]:
    """All finds of the permit, by its forays or linked alone."""
    uses = PermitUse.objects.in_force().filter(permit=permit)
    rows: QuerySet[Find] = Find.objects.for_list()
    return rows.filter(
        Q(Exists(uses.filter(find=OuterRef("pk"))))
        | Q(Exists(uses.filter(find=OuterRef("split_from_id"))))
        | Q(Exists(uses.filter(foray=OuterRef("foray_id"))))
    ).order_by("found_on", "collecting_code", "collecting_serial", "collecting_suffix")
