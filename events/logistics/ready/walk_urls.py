from django.urls import path

from events.logistics.ready import walk_views

app_name = "walk"
urlpatterns = [
    path("", walk_views.page, name="page"),
    path("acts/", walk_views.acts, name="acts"),
    path("photo/", walk_views.photo, name="photo"),
]
