from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('ledger', '0039_member_language'),
    ]

    operations = [
        migrations.AddField(
            model_name='flag',
            name='said',
            field=models.JSONField(blank=True, default=dict),
        ),
        migrations.AddField(
            model_name='photoscale',
            name='said',
            field=models.JSONField(blank=True, default=dict),
        ),
    ]
