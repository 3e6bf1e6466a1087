"""Addresses by audience: /desk/ for staff, /board/ for everybody, /group/ for holders of a signed link."""

from django.urls import URLPattern, URLResolver, include, path

from desk import log_views, rule_views, views
from desk.above_the_bags import ABOVE_BAGS, own_page
from desk.above_the_course import ABOVE_COURSE
from desk.above_the_crew import out_of
from desk.above_the_draw import ABOVE
from desk.above_the_found import ABOVE_FOUND
from desk.above_the_safety import ABOVE_SAFETY
from desk.archive import views as archive_views
from desk.signin import qr_image, reachable
from events.draw.moving_days import move_starts
from events.entries.paper_views import slips
from events.logistics.countdown.urls import urls as countdown_urls
from events.logistics.countdown.views import calendar_page
from events.logistics.crew.taking_over import posted
from events.logistics.crew.urls import urls as crew_urls
from events.logistics.moving_days import move_plans
from events.logistics.ready.urls import urls as course_ready_urls
from events.logistics.urls import urls as found_urls
from events.safety import paper_views
from events.setup.views import move, new_event
from scoring.cards.group_desk_urls import urls as group_desk_urls

staff_pages: list[URLPattern | URLResolver] = [
    path("", views.day, name="day"),
    path("log/", log_views.log_page, name="log"),
    path("rules/", rule_views.rules, name="rules"),
    path("rules/<str:key>/", rule_views.rule, name="rule"),
    path("plan/staff/<int:pk>/link/", views.staff_link, name="staff_link"),
    # Before the plan's own address: only this floor knows everything that is tied to the days of an event.
    path("plan/move/", move, {"follow": (move_starts, move_plans)}),
    path("plan/", include("events.setup.urls")),
    # Before the entries' own address: only this floor knows where a player's page is.
    path("entries/paper/slips/", slips, {"own_page": own_page}),
    path("entries/", include("events.entries.urls")),
    path("draw/", include("events.draw.urls"), {"above": ABOVE}),
    path("bags/", include("events.bags.urls"), {"above": ABOVE_BAGS}),
    path("course/", include("events.course.urls"), {"above": ABOVE_COURSE}),
    path("notices/suspension/", include("events.safety.suspension_urls"), {"above": ABOVE_SAFETY}),
    # Before safety's own addresses: the roster, which says who stands where, lies above that floor.
    path("notices/papers/", paper_views.papers, {"posted": posted}),
    path("notices/papers/<slug:what>.pdf", paper_views.paper, {"posted": posted}),
    path("notices/duties/", paper_views.duties, {"posted": posted}),
    path("notices/", include("events.safety.urls")),
    path("logistics/countdown/", include(countdown_urls(reachable=reachable))),
    path("logistics/people/", include(crew_urls(out_of=out_of))),
    path("logistics/things/", include("events.logistics.things.urls")),
    path("logistics/course/", include(course_ready_urls(reachable=reachable, qr=qr_image))),
    path("logistics/day/", include("events.logistics.running.urls")),
    path("logistics/incidents/", include("events.logistics.incidents.urls")),
    path("logistics/messages/", include("events.logistics.messages.urls")),
    path("logistics/", include(found_urls(above=ABOVE_FOUND))),
    path("penalties/", include("scoring.penalties.urls")),
    path("cards/phones/", include(group_desk_urls(reachable=reachable, qr=qr_image))),
    path("cards/", include("scoring.cards.urls")),
    path("playoffs/", include("scoring.playoffs.urls")),
    path("standings/", include("scoring.standings.urls")),
    path("ratings/", include("scoring.ratings.urls")),
    path("prizes/", include("scoring.prizes.urls")),
    path("games/", include("scoring.games.urls")),
    path("money/", include("scoring.money.urls")),
    path("close/archive.zip", archive_views.take_archive, name="archive"),
    path("close/", include("scoring.report.urls")),
]

urlpatterns = [
    path("", views.home, name="home"),
    path("events/", views.events, name="events"),
    path("events/new/", new_event, name="new_event"),
    path("events/open/", archive_views.open_page, name="open_archive"),
    path("log/", log_views.installation_log, name="installation_log"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("first/<str:uidb64>/<str:token>/", views.first_password, name="first_password"),
    path("desk/<slug:slug>/", include(staff_pages)),
    path("board/", include("scoring.standings.board_urls")),
    path("bag/<str:token>/", include("events.bags.player_urls"), {"above": ABOVE_BAGS}),
    path("spot-check/<slug:slug>/", include("events.bags.public_spot_urls")),
    path("walk/<str:token>/", include("events.logistics.ready.walk_urls")),
    path("group/<str:token>/", include("scoring.cards.group_urls")),
    path("countdown/<str:token>/", calendar_page, name="countdown_calendar"),
]
