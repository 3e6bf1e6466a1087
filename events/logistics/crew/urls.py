from django.urls import path

from events.logistics.crew import paper_views, people_views, views

app_name = "crew"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("work-out/", views.work_out, name="work_out"),
    path("suggestion/", views.suggestion, name="suggestion"),
    path("suggestion/back/", views.take_back, name="take_back"),
    path("take-over/", views.take_list_over, name="take_over"),
    path("shift/", views.shift, name="new_shift"),
    path("shift/<int:pk>/", views.shift, name="shift"),
    path("shift/<int:pk>/put/", views.put_on, name="put"),
    path("shift/<int:pk>/drop/", views.drop, name="drop"),
    path("shift/<int:pk>/back/", views.back, name="back"),
    path("post/<int:pk>/off/", views.off, name="off"),
    path("post/<int:pk>/there/", views.there, name="there"),
    path("list/", people_views.people, name="people"),
    path("list/<int:pk>/", people_views.person, name="person"),
    path("list/<int:pk>/certificate/", people_views.certificate, name="certificate"),
    path("list/<int:pk>/certificate/off/", people_views.certificate_off, name="certificate_off"),
    path("list/<int:pk>/hours/", people_views.hours, name="hours"),
    path("list/<int:pk>/gone/", people_views.gone, name="gone"),
    path("roster.pdf", paper_views.roster_paper, name="roster_paper"),
    path("briefings.pdf", paper_views.briefings, name="briefings"),
    path("list/<int:pk>/briefing.pdf", paper_views.briefing, name="briefing"),
]
