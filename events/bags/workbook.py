"""The whole event's equipment as a workbook: bags by round, weighings, what was seen and asked, calls, spot checks."""

from events.bags.checking import SEEN
from events.bags.judging import ground_of, judge_on
from events.bags.models import Call, Examination, Question, SpotCheck, Weighing
from events.bags.overview import field_of
from events.bags.queries import BagView, bags_of
from events.setup.models import Event, Round
from events.sheets.safe import Value, write_xlsx

Rows = list[list[Value]]


def equipment_workbook(event: Event) -> bytes:
    """Every fact of the slice in sheets of plain rows; missing is a blank cell."""
    rounds = list(event.rounds.order_by("number"))
    sheets: dict[str, Rows] = {}
    entries = field_of(event)
    ground = ground_of(event)
    for round in rounds:
        views = list(bags_of(entries, round).values())
        discs = [disc for view in views for disc in view.carried]
        judged = judge_on(ground, event, discs, round)
        sheets[f"Round {round.number}"] = _bags(
            event, round, views, {pk: each.words for pk, each in judged.items()}
        )
    sheets["Weighings"] = _weighings(event)
    sheets["Looked at"] = _examinations(event)
    sheets["Questioned"] = _questions(event)
    sheets["Calls"] = _calls(event)
    sheets["Spot checks"] = _spot_checks(event)
    return write_xlsx(sheets)


def _bags(event: Event, round: Round, views: list[BagView], words: dict[int, str]) -> Rows:
    rows: Rows = [
        [
            "division", "player", "declared", "no.", "maker", "model", "plastic", "colour", "stamped g", "mark",
            "role", "wear", "since last round", "late", "found",
        ]
    ]  # fmt: skip
    for view in views:
        declared = event.local(view.declared_at).replace(tzinfo=None) if view.declared_at else None
        for piece in view.pieces:
            if not piece.in_bag and not piece.change:
                continue
            disc = piece.disc
            late = event.local(piece.late_at).replace(tzinfo=None) if piece.late_at else None
            rows.append(
                [
                    view.entry.division.code, view.entry.person.name, declared, disc.number, disc.maker or None,
                    disc.model, disc.plastic or None, disc.colour or None, disc.stamped_mass_g, disc.mark or None,
                    disc.get_role_display(), disc.get_wear_display(), piece.change or None, late,
                    words.get(disc.pk),
                ]
            )  # fmt: skip
    return rows


def _weighings(event: Event) -> Rows:
    rows: Rows = [
        [
            "time", "round", "player", "no.", "model", "reading g", "listed limit g", "formula g", "decision",
            "probability within", "standard uncertainty g", "guard band g", "scale", "valid check", "list", "by",
        ]
    ]  # fmt: skip
    found = Weighing.objects.filter(entry__event=event).select_related(
        "disc", "entry__person", "scale", "list", "round"
    )
    for row in found.order_by("pk"):
        rows.append(
            [
                event.local(row.at).replace(tzinfo=None), row.round.number if row.round else None,
                row.entry.person.name, row.disc.number, f"{row.disc.maker} {row.disc.model}".strip(),
                row.shown_g, row.limit_g, row.formula_limit_g, row.get_zone_display(), row.probability,
                row.uncertainty_g, row.guard_g, row.scale.name, row.check_used_id is not None,
                str(row.list) if row.list else None, row.by,
            ]
        )  # fmt: skip
    return rows


def _examinations(event: Event) -> Rows:
    rows: Rows = [
        ["time", "round", "player", "no.", "model", *(name.replace("_", " ") for name in SEEN), "note", "by"]
    ]
    found = Examination.objects.filter(entry__event=event).select_related("disc", "entry__person", "round")
    for row in found.order_by("pk"):
        rows.append(
            [
                event.local(row.at).replace(tzinfo=None), row.round.number if row.round else None,
                row.entry.person.name, row.disc.number, row.disc.model, *(getattr(row, name) for name in SEEN),
                row.note or None, row.by,
            ]
        )  # fmt: skip
    return rows


def _questions(event: Event) -> Rows:
    rows: Rows = [
        ["time", "player", "no.", "model", "questioned by", "why", "approved", "the director's reason"]
    ]
    found = Question.objects.filter(entry__event=event).select_related("disc", "entry__person")
    for row in found.order_by("pk"):
        rows.append(
            [
                event.local(row.at).replace(tzinfo=None), row.entry.person.name, row.disc.number, row.disc.model,
                row.asked_by, row.reason, row.approved, row.decision or None,
            ]
        )  # fmt: skip
    return rows


def _calls(event: Event) -> Rows:
    rows: Rows = [
        [
            "time",
            "round",
            "hole",
            "throw",
            "player",
            "disc",
            "seen",
            "comes to",
            "throws",
            "caller",
            "confirmer",
            "taken back",
        ]
    ]
    found = Call.objects.filter(round__event=event).select_related("disc", "entry__person", "round")
    for row in found.order_by("pk"):
        rows.append(
            [
                event.local(row.at).replace(tzinfo=None), row.round.number, row.hole_label, row.throw,
                row.entry.person.name, str(row.disc) if row.disc else None, row.what or None,
                "warning" if row.warning else "throws", row.throws, row.caller, row.confirmer or None,
                row.taken_back_reason or None,
            ]
        )  # fmt: skip
    return rows


def _spot_checks(event: Event) -> Rows:
    rows: Rows = [["round", "number", "method", "label", "player", "order", "source", "commitment"]]
    for check in SpotCheck.objects.filter(round__event=event).select_related("round").order_by("pk"):
        order = {label: at for at, label in enumerate(check.result or [], start=1)}
        for label, _, name in check.pool:
            rows.append(
                [
                    check.round.number, check.number, check.get_method_display(), label, name, order.get(label),
                    check.source, check.commitment,
                ]
            )  # fmt: skip
    return rows
