from django.urls import path

from events.course import views

app_name = "course"
urlpatterns = [
    path("", views.layouts, name="layouts"),
    path("who-plays-which/", views.assign, name="assign"),
    path("new/", views.layout, name="new"),
    path("upload/", views.upload, name="upload"),
    path("<int:pk>/", views.layout, name="layout"),
    path("<int:pk>/remove/", views.remove, name="remove"),
]
