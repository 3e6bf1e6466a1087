"""Open an event from the archive that another installation of the same version made."""

from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import validate_slug
from django.utils import timezone

from desk.archive.opening import open_archive
from desk.archive.packing import PERSONAL
from desk.archive.refusal import ArchiveRefused
from events.log.services import COMMAND


class Command(BaseCommand):
    help = "Open an event from an archive of the closing page. Nothing is changed where the file is refused."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument("--as-slug", default="", metavar="SLUG", help="open it under another address")

    def handle(self, *args: Any, **options: Any) -> None:
        slug = options["as_slug"]
        try:
            if slug:
                validate_slug(slug)
            content = options["file"].read_bytes()
            opened = open_archive(content=content, as_slug=slug, actor=COMMAND, now=timezone.now())
        except ValidationError as wrong:
            raise CommandError(f"{slug!r} is no address: use small letters, digits and hyphens.") from wrong
        except OSError as wrong:
            raise CommandError(f"{options['file']} cannot be read: {wrong.strerror}.") from wrong
        except ArchiveRefused as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"{opened.event.slug}: {opened.event.name} is open, {opened.rows} rows.")
        if opened.known:
            self.stdout.write(f"{opened.known} of its players were known here and stay as they are here.")
        if opened.faults:
            self.stdout.write(opened.fault_words)
        self.stdout.write("Give roles to the accounts of this installation on the plan's page.")
        self.stdout.write(PERSONAL)
