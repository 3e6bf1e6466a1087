from django.urls import path

from events.course import hazard_views, hole_views, views

app_name = "course"
urlpatterns = [
    path("", views.layouts, name="layouts"),
    path("who-plays-which/", views.assign, name="assign"),
    path("new/", views.layout, name="new"),
    path("upload/", views.upload, name="upload"),
    path("hazards/", hazard_views.listing, name="hazards"),
    path("hazards/new/", hazard_views.hazard, name="new_hazard"),
    path("hazards/<int:pk>/", hazard_views.hazard, name="hazard"),
    path("hazards/<int:pk>/withdraw/", hazard_views.withdraw, name="withdraw_hazard"),
    path("<int:pk>/", views.layout, name="layout"),
    path("<int:pk>/remove/", views.remove, name="remove"),
    path("<int:pk>/holes/", hole_views.holes, name="holes"),
    path("<int:pk>/two-metre/", hole_views.two_metre, name="two_metre"),
    path("<int:pk>/holes/<int:place>/", hole_views.hole, name="hole"),
    path("<int:pk>/holes/<int:place>/sketch/", hole_views.sketch, name="sketch"),
    path("<int:pk>/versions/<int:number>/", hole_views.version, name="version"),
]
