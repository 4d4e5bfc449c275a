import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('vouchers', '0005_store_and_stocktake'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='PrintedLabel',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=12)),
                ('key', models.CharField(db_index=True, max_length=60)),
                ('number', models.CharField(max_length=40)),
                ('lines', models.JSONField()),
                ('digest', models.CharField(max_length=64)),
                ('sheet', models.CharField(max_length=20)),
                ('paper', models.CharField(max_length=12)),
                ('printed_at', models.DateTimeField()),
                ('printed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voucher', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='printed_labels', to='vouchers.voucher')),
            ],
            options={
                'ordering': ['id'],
            },
        ),
    ]
