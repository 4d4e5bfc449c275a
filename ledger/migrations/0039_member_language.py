from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('ledger', '0038_forays_and_finds_without_number'),
    ]

    operations = [
        migrations.AddField(
            model_name='member',
            name='language',
            field=models.CharField(blank=True, max_length=10),
        ),
    ]
