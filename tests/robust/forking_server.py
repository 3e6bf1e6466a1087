"""The real server, ready to be killed and started again within a few milliseconds.

Run by test_sigkill.py as a process of its own. It makes a database with an event, loads the application once,
and then, for each line "serve" on its input, forks a child that serves the desk with waitress on the port given;
the child's id is answered. For "verify" it answers what the log's check says. The database is opened by the
children only, as if each were started anew; what is saved is the loading of the code.
"""

import json
import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GROUPS, PLAYERS = 6, 2


def say(answer: object) -> None:
    sys.stdout.write(json.dumps(answer) + "\n")
    sys.stdout.flush()


def make_world() -> dict[str, object]:
    """An event whose round 1 is drawn, sessions of its card room and equipment desk, and an entrant's bag."""
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore
    from django.core.management import call_command

    import build
    import build_cards
    from events.bags.links import bag_path
    from events.setup.models import Role

    call_command("migrate", verbosity=0, interactive=False)
    event = build.make_event()
    field = build_cards.make_field(event, GROUPS * PLAYERS)
    groups = [field[at : at + PLAYERS] for at in range(0, len(field), PLAYERS)]
    build_cards.publish(event.rounds.get(number=1), groups)

    def session_of(role: Role) -> str | None:
        user = build.make_user(event, role)
        session = SessionStore()
        session[SESSION_KEY] = str(user.pk)
        session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
        session[HASH_SESSION_KEY] = user.get_session_auth_hash()
        session.save()
        return session.session_key

    return {
        "session": session_of(Role.CARD_ROOM),
        "equipment": session_of(Role.EQUIPMENT),
        "bag": {"entry": field[0].pk, "path": bag_path(field[0])},
        "groups": {
            str(number): [entry.pk for entry in group] for number, group in enumerate(groups, start=1)
        },
    }


def serve(port: int) -> None:
    import waitress

    from desk.wsgi import application

    waitress.serve(application, host="127.0.0.1", port=port, threads=4)


def verify_log() -> list[str]:
    from events.log.services import verify

    return [fault.text for fault in verify("quiet-pines")[1]]


def main(port: int) -> None:
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    os.environ["DJANGO_SETTINGS_MODULE"] = "desk.settings"
    import django

    django.setup()
    from django.db import connections
    from django.test import Client

    world = make_world()
    Client().get("/sign-in/")  # loads addresses, templates and middleware
    say(world)
    for line in sys.stdin:
        connections.close_all()
        if line.strip() == "verify":
            say(verify_log())
            continue
        child = os.fork()
        if not child:
            serve(port)
            os._exit(0)
        say(child)
        os.waitpid(child, 0)  # until the test kills it


if __name__ == "__main__":
    main(int(sys.argv[1]))
