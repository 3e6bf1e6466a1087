"""The database itself refuses to change or delete a row of the log, whoever asks.

Triggers differ by database, so they are installed here and not by a model constraint. Tests that empty
tables between themselves lift the guard for that moment (`lift`), nothing else does.
"""

from django.db.backends.base.base import BaseDatabaseWrapper

SQLITE = [
    """CREATE TRIGGER log_act_no_update BEFORE UPDATE ON log_act
       BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END""",
    """CREATE TRIGGER log_act_no_delete BEFORE DELETE ON log_act
       BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END""",
]
POSTGRESQL = [
    """CREATE OR REPLACE FUNCTION log_act_refuse() RETURNS trigger AS $$
       BEGIN RAISE EXCEPTION 'the log is append-only'; END $$ LANGUAGE plpgsql""",
    """CREATE TRIGGER log_act_no_update BEFORE UPDATE ON log_act
       FOR EACH ROW EXECUTE FUNCTION log_act_refuse()""",
    """CREATE TRIGGER log_act_no_delete BEFORE DELETE ON log_act
       FOR EACH ROW EXECUTE FUNCTION log_act_refuse()""",
]
INSTALL = {"sqlite": SQLITE, "postgresql": POSTGRESQL}


def install(connection: BaseDatabaseWrapper) -> None:
    with connection.cursor() as cursor:
        for statement in INSTALL[connection.vendor]:
            cursor.execute(statement)


def lift(connection: BaseDatabaseWrapper) -> None:
    of_table = " ON log_act" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        for name in ("log_act_no_update", "log_act_no_delete"):
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{of_table}")
