"""Addresses of the desk: check-in, the list, one entry, by hand, the waitlist, leaving, paper."""

from django.urls import include, path

from events.entries import entry_views, export, leaving_views, new_views, paper_views, views, waitlist_views

app_name = "entries"
urlpatterns = [
    path("", views.desk, name="desk"),
    path("standing/", views.standing, name="standing"),
    path("undo/", views.undo, name="undo"),
    path("list/", entry_views.entry_list, name="list"),
    path("new/", new_views.new, name="new"),
    path("new/look/", new_views.look, name="look"),
    path("waitlist/", waitlist_views.waitlist, name="waitlist"),
    path("waitlist/promote/", waitlist_views.promote_next, name="promote"),
    path("waitlist/caps/", waitlist_views.caps, name="caps"),
    path("missing/", leaving_views.missing, name="missing"),
    path("paper/list/", paper_views.check_in_list, name="paper_list"),
    path("paper/slips/", paper_views.slips, name="paper_slips"),
    path("payments/<int:pk>/undo/", entry_views.undo_payment, name="undo_payment"),
    path("import/", include("events.entries.import_urls")),
    path("export/<slug:kind>/", export.export, name="export"),
    path("<int:pk>/", entry_views.entry, name="entry"),
    path("<int:pk>/change/", entry_views.change, name="change"),
    path("<int:pk>/act/<slug:what>/", views.act, name="act"),
    path("<int:pk>/withdraw/", leaving_views.withdraw, name="withdraw"),
    path("<int:pk>/pay-back/", leaving_views.pay_back, name="pay_back"),
    path("<int:pk>/leave/<slug:how>/", leaving_views.leave, name="leave"),
]
