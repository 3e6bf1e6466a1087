from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from events.log import guard


def install(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guard.install(schema_editor.connection)


def lift(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guard.lift(schema_editor.connection)


class Migration(migrations.Migration):
    # SQLite makes the table anew, and with the old one its guard would be gone.
    dependencies = [("log", "0002_guard")]
    operations = [
        migrations.RunPython(lift, install),
        migrations.RemoveConstraint("act", "act_action_known"),
        migrations.AlterField("act", "action", models.CharField(max_length=40)),
        migrations.RunPython(install, lift),
    ]
