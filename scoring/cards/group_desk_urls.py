from django.urls import URLPattern, path

from scoring.cards import group_desk_views as views


def urls(**above: object) -> tuple[list[URLPattern], str]:
    """The desk's pages of the groups' phones; `above`: `reachable` and `qr`, which only the desk's own floor knows."""
    return [
        path("", views.phones, above, name="page"),
        path("answer/<int:pk>/", views.answer, name="answer"),
        path("<int:round_number>/<int:group>/withdraw/", views.withdraw, name="withdraw"),
    ], "phones"
