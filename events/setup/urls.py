from django.urls import path

from events.setup import views

app_name = "setup"
urlpatterns = [
    path("", views.plan, name="plan"),
    path("event/", views.facts, name="facts"),
    path("move/", views.move, name="move"),
    path("divisions/", views.divisions, name="divisions"),
    path("rounds/", views.rounds, name="rounds"),
    path("add-ons/", views.addons, name="addons"),
    path("staff/", views.staff_roles, name="staff"),
    path("staff/new/", views.staff_new, name="staff_new"),
]
