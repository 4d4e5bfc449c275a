"""The finds of vouchers that are there already are told their numbers."""

from django.db import migrations


def tell(apps, schema_editor):
    for voucher in apps.get_model("vouchers", "Voucher").objects.iterator():
        number = f"{voucher.prefix} {voucher.year}-{voucher.serial:04d}"
        apps.get_model("ledger", "Find").objects.filter(pk=voucher.find_id).update(accession_number=number)


class Migration(migrations.Migration):
    dependencies = [
        ("vouchers", "0001_initial"),
        ("ledger", "0006_printed_lines_and_numbers_in_frame"),
    ]

    operations = [migrations.RunPython(tell, migrations.RunPython.noop)]
