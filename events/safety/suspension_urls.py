"""The stop and what follows from it, under /desk/<event>/notices/suspension/."""

from django.urls import path

from events.safety import completion_views
from events.safety import suspension_views as views

app_name = "suspension"
urlpatterns = [
    path("", views.page, name="page"),
    path("standing/", views.standing, name="standing"),
    path("start/", views.start, name="start"),
    path("<int:pk>/evidence/", views.evidence, name="evidence"),
    path("<int:pk>/horn/", views.horn, name="horn"),
    path("<int:pk>/position/", views.position, name="position"),
    path("<int:pk>/restart/", views.restart, name="restart"),
    path("<int:pk>/resume/", views.go_on, name="resume"),
    path("<int:pk>/next-day/", views.next_day, name="next_day"),
    path("<int:pk>/cancel/", views.cancel, name="cancel"),
    path("<int:pk>/penalty/", views.penalty, name="penalty"),
    path("<int:pk>/penalty/<int:ruling>/take-back/", views.unbook, name="unbook"),
    path("completion/", completion_views.completion, name="completion"),
]
