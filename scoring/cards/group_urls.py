from django.urls import path

from scoring.cards import group_views

app_name = "group"
urlpatterns = [
    path("", group_views.page, name="page"),
    path("state/", group_views.state, name="state"),
    path("acts/", group_views.acts, name="acts"),
]
