from django.urls import URLPattern, path

from events.logistics import found_views as views
from events.logistics.above import Above


def urls(*, above: Above) -> tuple[list[URLPattern], str]:
    """`above` knows the rulings, which give throws of a lost disc back."""
    knows = {"above": above}
    return [
        path("found/", views.found, knows, name="found"),
        path("found/in/", views.hand_in_page, knows, name="hand_in"),
        path("found/list.pdf", views.found_paper, name="found_paper"),
        path("found/<int:pk>/over/", views.hand_over_page, name="hand_over"),
        path("found/<int:pk>/again/", views.hold_again_page, name="hold_again"),
        path("found/<int:pk>/taken/", views.taken_page, name="taken"),
        path("found/<int:pk>/settled/", views.settled_page, name="settled"),
    ], "logistics"
