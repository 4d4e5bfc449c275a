"""Earlier prints, and parts that bear labels of their own."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from django.db.models import Max

from vouchers.parts.models import Part
from vouchers.printing.models import PrintedLabel
from vouchers.register.models import Voucher
from vouchers.sampling.models import SamplingLeave
from vouchers.sampling.slip import CutNote, cut_note


def last_prints(keys: Collection[str]) -> dict[str, PrintedLabel]:
    """The last print of each label, by its key; one query."""
    newest = PrintedLabel.objects.filter(key__in=keys).order_by().values("key").annotate(last=Max("pk"))
    rows = PrintedLabel.objects.filter(pk__in=newest.values("last")).select_related("printed_by")
    return {row.key: row for row in rows}


def last_prints_of(voucher: Voucher) -> list[PrintedLabel]:
    """The last print of each label of a voucher, in the order they were first printed."""
    newest: dict[str, PrintedLabel] = {}
    for row in PrintedLabel.objects.filter(voucher=voucher).select_related("printed_by"):
        newest[row.key] = row
    return list(newest.values())


def parts_by_voucher(vouchers: Iterable[Voucher]) -> Mapping[int, list[Part]]:
    """The parts that are still in the collection, by the key of their voucher; one query."""
    by_id = {voucher.pk: voucher for voucher in vouchers}
    found: dict[int, list[Part]] = defaultdict(list)
    for part in Part.objects.there().filter(voucher__in=by_id).order_by("pk"):
        part.voucher = by_id[part.voucher_id]
        found[part.voucher_id].append(part)
    return found


def cuts_by_voucher(vouchers: Iterable[Voucher]) -> Mapping[int, list[tuple[int, CutNote]]]:
    """What was cut, by the key of the voucher, each with the key of its leave, the oldest first; one query."""
    by_id = {voucher.pk: voucher for voucher in vouchers}
    rows = SamplingLeave.objects.filter(part__voucher__in=by_id, cut_on__isnull=False).select_related("part")
    found: dict[int, list[tuple[int, CutNote]]] = defaultdict(list)
    for leave in rows.order_by("cut_on", "pk"):
        leave.part.voucher = by_id[leave.part.voucher_id]
        if note := cut_note(leave):
            found[leave.part.voucher_id].append((leave.pk, note))
    return found
