"""The bench is ordered by the kind of the worst flag, and the end of a club's range has its reason."""

from django.db import migrations, models

from ledger.finds.tables import flag_places

_RANKS = {"stop": 3, "doubt": 2, "note": 1}


def rank_the_worst_flags(apps, schema_editor):
    """Write the new column for finds that have open flags; every later check of a find writes it anyway."""
    find, flag = apps.get_model("ledger", "Find"), apps.get_model("ledger", "Flag")
    places = flag_places()
    worst = {}
    rows = flag.objects.filter(settled_at__isnull=True, withdrawn_at__isnull=True)
    for find_id, code, severity in rows.values_list("find_id", "code", "severity").iterator():
        here = (-_RANKS.get(severity, 0), places.get(code, len(places)))
        worst[find_id] = min(worst.get(find_id, here), here)
    for find_id, (_, place) in worst.items():
        find.objects.filter(pk=find_id).update(worst_flag_rank=place)


class Migration(migrations.Migration):
    dependencies = [("ledger", "0001_initial")]

    operations = [
        migrations.RemoveIndex(model_name="find", name="find_bench_order"),
        migrations.AddField(
            model_name="documentedrange",
            name="end_reason",
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AddField(
            model_name="find",
            name="worst_flag_rank",
            field=models.PositiveSmallIntegerField(default=0),
        ),
        migrations.AddIndex(
            model_name="find",
            index=models.Index(
                fields=["status", "-worst_flag", "worst_flag_rank", "logged_at"], name="find_bench_order"
            ),
        ),
        migrations.RunPython(rank_the_worst_flags, migrations.RunPython.noop),
    ]
