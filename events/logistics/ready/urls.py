from django.urls import URLPattern, path

from events.logistics.ready import views


def urls(*, reachable: views.Reachable, qr: views.Drawn) -> tuple[list[URLPattern], str]:
    """`reachable` and `qr` are known on the desk's own floor only: a phone's way to a page, and a code as a picture."""
    shown = {"reachable": reachable, "qr": qr}
    return [
        path("", views.overview, shown, name="overview"),
        path("say/", views.say, name="say"),
        path("own/", views.own, shown, name="own"),
        path("own/<int:pk>/drop/", views.own_drop, name="own_drop"),
        path("withdraw/", views.withdraw, name="withdraw"),
        path("photos/<int:pk>/", views.photo_image, name="photo_image"),
        path("photos/<int:pk>/away/", views.photo_away, name="photo_away"),
        path("walk.pdf", views.sheet, {"reachable": reachable}, name="sheet"),
    ], "ready"
