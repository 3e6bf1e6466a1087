"""What stands gets rows of its own; until now the typed line that stood held the rulings on top as well."""

from django.db import migrations


def fill(apps, schema_editor):
    CardLine = apps.get_model("cards", "CardLine")
    StandingLine = apps.get_model("cards", "StandingLine")
    for line in CardLine.objects.filter(current=True).order_by("pk").iterator():
        StandingLine.objects.create(
            round_id=line.round_id,
            entry_id=line.entry_id,
            throws=line.throws,
            penalties=line.penalties,
            additional=line.additional,
            additional_reason=line.additional_reason,
            written_total=line.written_total,
            on_top=line.on_top,
            played=line.played,
            total=line.total,
            complete=line.complete,
        )
        if line.on_top and line.total is not None:
            line.total = sum(throws for throws in line.throws if throws is not None) + line.additional
            line.save(update_fields=["total"])


def empty(apps, schema_editor):
    """Back: the typed lines hold their rulings again."""
    CardLine = apps.get_model("cards", "CardLine")
    for standing in apps.get_model("cards", "StandingLine").objects.exclude(on_top=[]):
        CardLine.objects.filter(round=standing.round_id, entry=standing.entry_id, current=True).update(
            on_top=standing.on_top, total=standing.total
        )


class Migration(migrations.Migration):

    dependencies = [("cards", "0003_live_cards")]

    operations = [migrations.RunPython(fill, empty)]
