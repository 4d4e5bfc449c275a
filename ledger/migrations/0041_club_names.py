import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('ledger', '0040_said_again'),
    ]

    operations = [
        migrations.CreateModel(
            name='ClubName',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('language', models.CharField(max_length=10)),
                ('source', models.CharField(max_length=300)),
                ('added_at', models.DateTimeField()),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('added_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('ended_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('taxon', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='club_names', to='ledger.taxon')),
            ],
            options={
                'ordering': ['language', 'id'],
                'constraints': [models.UniqueConstraint(condition=models.Q(('ended_at__isnull', True)), fields=('taxon', 'language', 'name'), name='club_name_once')],
            },
        ),
    ]
