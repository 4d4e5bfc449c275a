"""The whole register read at one moment and proved."""

from collections import defaultdict
from dataclasses import dataclass

from django.db import transaction

from ledger.backup.providers import RegisterFacts
from vouchers.parts.models import Part
from vouchers.register.audit import Kept, YearCount, audit
from vouchers.register.chain import Head, Trouble
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher


@dataclass(frozen=True, slots=True)
class Verified:
    """What was read, and the first bad entry, or None. `printed` is what a paper was held against, if one was."""

    entries: int
    vouchers: int
    head: Head
    trouble: Trouble | None


def verify_register(printed: Head | None = None) -> Verified:
    """Prove that nothing was removed from the register or altered in it.

    `printed`: number and digest of an entry as a register book has them on paper; the digest may be cut off.
    Writers wait meanwhile: the head is held, so that entries and vouchers are of one moment.
    """
    with transaction.atomic():
        held = RegisterHead.objects.select_for_update().first()
        return _verified("default", held, printed)


def facts_for_backup(using: str) -> RegisterFacts:
    """How far the register on that database has come. Nobody waits: `using` sees one moment by itself."""
    verified = _verified(using, RegisterHead.objects.using(using).first(), None)
    trouble = verified.trouble
    return RegisterFacts(
        entries=verified.entries,
        vouchers=verified.vouchers,
        digest=verified.head.digest,
        trouble=f"Entry {trouble.number} is bad. {trouble.why}" if trouble else "",
    )


def _verified(using: str, held: RegisterHead | None, printed: Head | None) -> Verified:
    rows = [entry.row for entry in RegisterEntry.objects.using(using).order_by("number")]
    vouchers = _kept(using)
    years = [
        YearCount(year.prefix, year.year, year.last_serial)
        for year in RegisterYear.objects.using(using).all()
    ]
    head = held.head if held else RegisterHead().head
    trouble = audit(rows, head, vouchers, years)
    if trouble is None and printed is not None:
        trouble = _against_paper(printed, {row.number: row.digest for row in rows})
    return Verified(len(rows), len(vouchers), head, trouble)


def _kept(using: str) -> dict[str, Kept]:
    parts: dict[int, dict[str, bool]] = defaultdict(dict)
    vouchers = {voucher.pk: voucher for voucher in Voucher.objects.using(using).all()}
    for part in Part.objects.using(using).only("voucher_id", "suffix", "ended_at"):
        number = f"{vouchers[part.voucher_id]} {part.suffix}".rstrip()
        parts[part.voucher_id][number] = part.ended_at is None
    return {
        str(voucher): Kept(str(voucher.find_id), voucher.deaccessioned_at is not None, parts[voucher.pk])
        for voucher in vouchers.values()
    }


def _against_paper(printed: Head, digests: dict[int, str]) -> Trouble | None:
    digest = digests.get(printed.count)
    if digest is None:
        return Trouble(printed.count, "", "It stands in the printed book, and is not in the register.")
    if not digest.startswith(printed.digest):
        return Trouble(
            printed.count,
            "",
            "Its digest is not that of the printed book: it, or one before it, was made anew.",
        )
    return None
