"""Addresses of the import; included by events.entries.urls, whose name space they share."""

from django.urls import path

from events.entries import import_views

urlpatterns = [
    path("", import_views.upload, name="import_upload"),
    path("<int:pk>/", import_views.reading, name="import"),
    path("<int:pk>/bring-in/", import_views.bring_in, name="import_bring_in"),
]
