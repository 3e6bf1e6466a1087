"""Addresses of the countdown. How a telephone reaches this laptop is known to the floor above, which hands it down."""

from django.urls import URLPattern, path

from events.logistics.countdown import views
from events.logistics.countdown.views import Reachable


def urls(*, reachable: Reachable) -> tuple[list[URLPattern], str]:
    """For `include()`; the second is the namespace."""
    above = {"reachable": reachable}
    return [
        path("", views.overview, above, name="overview"),
        path("list.pdf", views.paper, name="paper"),
        path("mark/", views.mark_page, name="mark"),
        path("owner/", views.owner_page, name="owner"),
        path("task/", views.add_page, above, name="add"),
        path("task/<int:pk>/", views.task_page, above, name="task"),
        path("task/<int:pk>/drop/", views.drop_page, name="drop"),
        path("task/<int:pk>/back/", views.take_back_page, name="take_back"),
        path("calendar/", views.open_feed_page, name="open_feed"),
        path("calendar/<int:pk>/close/", views.close_feed_page, name="close_feed"),
    ], "countdown"
