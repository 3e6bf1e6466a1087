from django.db import migrations, models


class Migration(migrations.Migration):
    """A chain that was opened here from an archive knows the key under which its first rows were written."""

    dependencies = [("log", "0003_any_action")]

    operations = [
        migrations.AddField(
            model_name="chain",
            name="former",
            field=models.JSONField(
                default=list,
                help_text="[last number, key] of rows written under another key, before the event was opened here",
            ),
        ),
    ]
