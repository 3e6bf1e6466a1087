from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from events.log import guard


def install(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guard.install(schema_editor.connection)


def lift(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guard.lift(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("log", "0001_initial")]
    operations = [migrations.RunPython(install, lift)]
