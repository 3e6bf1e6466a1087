"""Addresses of the draw. `desk.urls` includes them with `above`: what the draw is told by the floors above."""

from django.urls import path

from events.draw import hand_views, views

app_name = "draw"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("<int:number>/pools/", views.pools, name="pools"),
    path("<int:number>/make/", views.make, name="make"),
    path("<int:number>/edit/", hand_views.edit, name="edit"),
    path("<int:number>/undo/", hand_views.undo, name="undo"),
    path("<int:number>/keep/", hand_views.keep, name="keep"),
    path("<int:number>/reopen/", hand_views.reopen, name="reopen"),
    path("<int:number>/discard/", hand_views.discard, name="discard"),
    path("<int:number>/publish/", views.publish, name="publish"),
    path("<int:number>/working/<int:version>/", views.working, name="working"),
    path("<int:number>/paper/<slug:what>/", views.paper, name="paper"),
]
