"""The director's view of bags, its workbook and its papers."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from events.bags.above import AboveBags
from events.bags.finding import entry_of
from events.bags.links import bag_path
from events.bags.lists import list_in_use
from events.bags.overview import standing_of
from events.bags.pages import current_round, round_tabs
from events.bags.papers import declaration_of, desk_lines, keepsake_groups, weighing_lines
from events.bags.prints import declarations, desk_list, keepsakes, weighing_record
from events.bags.queries import bag_of
from events.bags.workbook import equipment_workbook
from events.entries.paper_views import head_of
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Role, Round
from events.setup.overview import moment_text

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
AT_DESK = (Role.DIRECTOR, Role.EQUIPMENT, Role.DESK)


@staff(*EVERY_ROLE, write=())
def overview(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Per round who has declared, what changed, what was weighed, what is open."""
    event = request.event
    round = current_round(event, request.GET.get("round"), above)
    context = {
        "round": round,
        "tabs": round_tabs(event, round),
        "standing": standing_of(event, round) if round else None,
        "used": list_in_use(event),
        "is_director": request.role == Role.DIRECTOR and event.over_at is None,
        "may_print": request.role in AT_DESK,
    }
    return render(request, "bags/overview.html", context)


def _printed(request: EventRequest) -> str:
    return moment_text(request.event, timezone.now())


def _round(request: EventRequest, number: int) -> Round:
    return get_object_or_404(Round.objects.select_related("event"), event=request.event, number=number)


@staff(*AT_DESK)
@require_safe
def declaration(
    request: EventRequest, slug: str, entry: int, round_number: int, above: AboveBags
) -> HttpResponse:
    """One player's declaration, to sign."""
    owner = entry_of(request.event, entry)
    if owner is None:
        raise Http404("There is no such entry at this event.")
    view = bag_of(owner, _round(request, round_number))
    sheet = declaration_of(request.event, view, above.reachable(request, bag_path(owner)))
    pdf = declarations(head_of(request.event), [sheet], printed=_printed(request))
    return shown_pdf(pdf, f"{slug}-bag-{owner.pk}-round-{round_number}.pdf")


@staff(*AT_DESK)
@require_safe
def all_declarations(request: EventRequest, slug: str, round_number: int, above: AboveBags) -> HttpResponse:
    """Everybody's declaration, by name."""
    standing = standing_of(request.event, _round(request, round_number))
    sheets = [
        declaration_of(request.event, row.view, above.reachable(request, bag_path(row.entry)))
        for row in standing.rows
    ]
    pdf = declarations(head_of(request.event), sheets, printed=_printed(request))
    return shown_pdf(pdf, f"{slug}-bags-round-{round_number}.pdf")


@staff(*AT_DESK)
@require_safe
def equipment_list(request: EventRequest, slug: str, round_number: int, above: AboveBags) -> HttpResponse:
    """The equipment desk's list, for when the laptop is elsewhere."""
    standing = standing_of(request.event, _round(request, round_number))
    words = f"round {round_number}"
    pdf = desk_list(head_of(request.event), words, desk_lines(standing), printed=_printed(request))
    return shown_pdf(pdf, f"{slug}-equipment-desk-round-{round_number}.pdf")


@staff(*EVERY_ROLE, write=())
@require_safe
def record(request: EventRequest, slug: str, round_number: int, above: AboveBags) -> HttpResponse:
    """The record of weighings of a round."""
    lines = weighing_lines(request.event, _round(request, round_number))
    used = ", ".join(dict.fromkeys(line.list for line in lines if line.list))
    note = f"Limits from the {used}, as it was in use at each weighing. " if used else ""
    note += "Rejected only from the limit and the guard band up; nothing here penalises by itself."
    pdf = weighing_record(
        head_of(request.event), f"round {round_number}", lines, note=note, printed=_printed(request)
    )
    return shown_pdf(pdf, f"{slug}-weighings-round-{round_number}.pdf")


@staff(*EVERY_ROLE, write=())
@require_safe
def keepsake(request: EventRequest, slug: str, round_number: int, above: AboveBags) -> HttpResponse:
    """Who signs whose keepsake disc, by group."""
    groups = keepsake_groups(request.event, _round(request, round_number))
    pdf = keepsakes(head_of(request.event), groups, printed=_printed(request))
    return shown_pdf(pdf, f"{slug}-keepsakes-round-{round_number}.pdf")


@staff(*AT_DESK, write=())
@require_safe
def workbook(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """The whole event's equipment. For who works with it: marks hold telephone numbers, questions say who asked."""
    answer = HttpResponse(equipment_workbook(request.event), content_type=XLSX)
    answer["Content-Disposition"] = f'attachment; filename="{slug}-equipment.xlsx"'
    return answer
