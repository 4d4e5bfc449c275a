"""Leaves for screens, and what speaks against granting one."""

from django.db.models import QuerySet

from ledger.finds.models import Find
from ledger.moments import day_of
from ledger.words import say
from vouchers.loans.numbers import PaperNumber
from vouchers.parts.models import Part
from vouchers.register.models import Voucher
from vouchers.sampling.models import Decision, SamplingLeave
from vouchers.sampling.purposes import PURPOSES
from vouchers.sampling.warnings import Facts, warnings


def for_list() -> QuerySet[SamplingLeave]:
    """Newest first, with all a row says."""
    return SamplingLeave.objects.select_related(
        "part__voucher__find__current_determination__taxon", "decided_by"
    )


def of_voucher(voucher: Voucher) -> QuerySet[SamplingLeave]:
    return SamplingLeave.objects.filter(part__voucher=voucher).select_related("part__voucher", "decided_by")


def warnings_of(leave: SamplingLeave) -> list[str]:
    return warnings(facts_of(leave.part, leave.purpose, but=leave.pk))


def facts_of(part: Part, purpose: str, *, but: int | None = None) -> Facts:
    """What the notes on a request for that part and purpose rest on. `but`: the request itself."""
    find = Find.objects.select_related("current_determination__taxon").get(voucher=part.voucher_id)
    named = find.current_determination
    before = (
        SamplingLeave.objects.filter(
            part__voucher=part.voucher_id, purpose=purpose, decision=Decision.GRANTED
        )
        .exclude(pk=but)
        .order_by("decided_at")
    )
    tubes = Part.objects.with_number().there().filter(voucher=part.voucher_id, kind="tissue tube")
    return Facts(
        name=named.taxon.name if named and named.taxon else "",
        collections=_collections(named.taxon_id) if named and named.taxon_id else None,
        doubts=_doubts(find),
        granted_before=[
            say(
                "{leave}, {purpose}, on {day}",
                leave=leave,
                purpose=PURPOSES[leave.purpose],
                day=day_of(leave.decided_at),
            )
            for leave in before
            if leave.decided_at
        ],
        tissue_tubes=[tube.number for tube in tubes],
    )


def _collections(taxon_id: int) -> int:
    """Vouchers in the collection that bear that name, without a qualifier that leaves it open."""
    return Voucher.objects.filter(
        deaccessioned_at__isnull=True,
        find__current_determination__taxon=taxon_id,
        find__current_determination__qualifier="",
    ).count()


def _doubts(find: Find) -> list[str]:
    named = find.current_determination
    if named is None or not named.name_typed:
        return [say("it has none")]
    doubts: list[str] = []
    if named.taxon_id is None:
        doubts.append(say("{name} is no taxon of the reference", name=named.name_typed))
    if named.qualifier:
        doubts.append(say("it says {qualifier}", qualifier=named.qualifier))
    if find.status != "settled":
        doubts.append(say("the find is not settled"))
    return doubts


def find_leave(number: PaperNumber) -> SamplingLeave | None:
    rows = for_list().select_related("made_by", "part__voucher__find__finder")
    return rows.filter(year=number.year, serial=number.serial).first()
