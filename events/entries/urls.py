"""Addresses of the desk: check-in, the list, one entry, by hand, the waitlist."""

from django.urls import path

from events.entries import views

app_name = "entries"
urlpatterns = [
    path("", views.desk, name="desk"),
    path("list/", views.entry_list, name="list"),
    path("new/", views.new, name="new"),
    path("waitlist/", views.waitlist, name="waitlist"),
    path("<int:pk>/", views.entry, name="entry"),
]
