"""The database of the installation: never newer than the code, and brought up to date before it is used."""

from collections.abc import Callable

from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from desk.boot import folder


def bring_up_to_date(say: Callable[[str], object]) -> None:
    """Refuse a database from a newer version (CommandError), and bring one from an older version up to date."""
    executor = MigrationExecutor(connection)
    if unknown := unknown_migrations(executor.loader):
        raise CommandError(
            f"The database {name_of_database()} is newer than this code, which does not know {unknown[0]}: "
            "update the code, or choose another folder with --data."
        )
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        say(f"Bringing the database {name_of_database()} up to date.")
        call_command("migrate", interactive=False, verbosity=0)
    folder.close_to_others(settings.DATA_DIR)


def unknown_migrations(loader: MigrationLoader) -> list[str]:
    """Return the applied migrations that this code does not have, as "app.name" in order."""
    known = set(loader.disk_migrations)
    for migration in loader.disk_migrations.values():
        known.update(migration.replaces)
    return sorted(f"{app}.{name}" for app, name in set(loader.applied_migrations) - known)


def name_of_database() -> str:
    return str(settings.DATABASES["default"]["NAME"])
