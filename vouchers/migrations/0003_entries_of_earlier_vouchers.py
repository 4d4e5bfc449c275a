"""Vouchers from before the register had entries get theirs, in the order in which their numbers were given."""

from datetime import UTC

from django.db import migrations

from vouchers.register.chain import BEGINNING, Head, next_row


def enter(apps, schema_editor):
    Voucher, Part = apps.get_model("vouchers", "Voucher"), apps.get_model("vouchers", "Part")
    Entry, RegisterHead = apps.get_model("vouchers", "RegisterEntry"), apps.get_model("vouchers", "RegisterHead")
    head = Head(0, BEGINNING)
    rows = Voucher.objects.select_related("find__finder", "find__current_determination", "accessioned_by")
    for voucher in rows.order_by("accessioned_at", "year", "serial"):
        find, named = voucher.find, voucher.find.current_determination
        number = f"{voucher.prefix} {voucher.year}-{voucher.serial:04d}"
        Part.objects.create(
            voucher=voucher, kind="packet", made_at=voucher.accessioned_at, made_by=voucher.accessioned_by
        )
        row = next_row(
            head,
            kind="accession",
            accession_number=number,
            facts={
                "find": str(find.pk),
                "collecting number": f"{find.collecting_code} {find.collecting_serial}",
                "found by": find.found_by or find.finder.full_name,
                "found on": find.found_on.isoformat() if find.found_on else "",
                "name": named.name_typed if named else "",
                "at": voucher.accessioned_at.astimezone(UTC).isoformat(timespec="microseconds"),
                "by": voucher.accessioned_by.full_name,
                "by member": voucher.accessioned_by_id,
                "entered later": "the register had no entries when this number was given",
            },
        )
        Entry.objects.create(
            number=row.number,
            kind=row.kind,
            accession_number=row.accession_number,
            body=row.body,
            before=row.before,
            digest=row.digest,
        )
        head = Head(row.number, row.digest)
    RegisterHead.objects.create(pk=1, count=head.count, digest=head.digest)


class Migration(migrations.Migration):
    dependencies = [("vouchers", "0002_register_entries_and_parts")]

    # Backwards the tables themselves go.
    operations = [migrations.RunPython(enter, migrations.RunPython.noop)]
