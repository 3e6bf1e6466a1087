from django.urls import URLPattern, path

from events.logistics.crew import paper_views, people_views, views
from events.logistics.crew.playing import OutOf


def urls(*, out_of: OutOf) -> tuple[list[URLPattern], str]:
    """`out_of` is known where the standings are: whom a cut has put out."""
    knows = {"out_of": out_of}
    return [
        path("", views.overview, knows, name="overview"),
        path("work-out/", views.work_out, name="work_out"),
        path("suggestion/", views.suggestion, knows, name="suggestion"),
        path("suggestion/back/", views.take_back, name="take_back"),
        path("take-over/", views.take_list_over, name="take_over"),
        path("shift/", views.shift, name="new_shift"),
        path("shift/<int:pk>/", views.shift, name="shift"),
        path("shift/<int:pk>/put/", views.put_on, knows, name="put"),
        path("shift/<int:pk>/drop/", views.drop, name="drop"),
        path("shift/<int:pk>/back/", views.back, name="back"),
        path("post/<int:pk>/off/", views.off, name="off"),
        path("post/<int:pk>/there/", views.there, name="there"),
        path("list/", people_views.people, name="people"),
        path("list/<int:pk>/", people_views.person, knows, name="person"),
        path("list/<int:pk>/certificate/", people_views.certificate, knows, name="certificate"),
        path("list/<int:pk>/certificate/off/", people_views.certificate_off, name="certificate_off"),
        path("list/<int:pk>/hours/", people_views.hours, knows, name="hours"),
        path("list/<int:pk>/gone/", people_views.gone, name="gone"),
        path("roster.pdf", paper_views.roster_paper, name="roster_paper"),
        path("briefings.pdf", paper_views.briefings, name="briefings"),
        path("list/<int:pk>/briefing.pdf", paper_views.briefing, name="briefing"),
    ], "crew"
