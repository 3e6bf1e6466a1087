"""Addresses of lists of approved discs; the announcement of a round stands here too, for the director's view."""

from django.urls import path

from events.bags import list_views

urlpatterns = [
    path("", list_views.lists, name="lists"),
    path("new/", list_views.upload, name="list_upload"),
    path("new/<int:pk>/", list_views.check, name="list_check"),
    path("new/<int:pk>/bring-in/", list_views.bring_in, name="list_bring_in"),
    path("new/<int:pk>/drop/", list_views.drop, name="list_drop"),
    path("models/", list_views.decide, name="model_decide"),
    path("rounds/<int:number>/night-or-snow/", list_views.night_or_snow, name="night_or_snow"),
    path("<int:pk>/", list_views.one, name="list"),
    path("<int:pk>/changes/", list_views.changes, name="list_changes"),
    path("<int:pk>/use/", list_views.use, name="list_use"),
]
