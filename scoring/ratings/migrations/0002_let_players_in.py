import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('entries', '0001_initial'),
        ('ratings', '0001_decisions_and_histories'),
        ('setup', '0002_night_or_snow'),
    ]

    operations = [
        migrations.RemoveConstraint(model_name='exclusion', name='rating_excluded_once'),
        migrations.RemoveConstraint(model_name='exclusion', name='rating_excluded_with_reason'),
        migrations.RenameModel(old_name='Exclusion', new_name='PlayerDecision'),
        migrations.AddField(
            model_name='playerdecision',
            name='counts',
            field=models.BooleanField(default=False),
        ),
        migrations.AlterField(
            model_name='playerdecision',
            name='entry',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='rated_rounds_decided', to='entries.entry'),
        ),
        migrations.AlterField(
            model_name='playerdecision',
            name='round',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='rated_players', to='setup.round'),
        ),
        migrations.AddConstraint(
            model_name='playerdecision',
            constraint=models.UniqueConstraint(condition=models.Q(('taken_back_at__isnull', True)), fields=('round', 'entry'), name='rating_player_once', violation_error_message="It is decided already whether this player counts in this round's average."),
        ),
        migrations.AddConstraint(
            model_name='playerdecision',
            constraint=models.CheckConstraint(condition=models.Q(('reason__gt', '')), name='rating_player_with_reason', violation_error_message='Say why this player counts, or is left out.'),
        ),
    ]
