from django.urls import path

from events.course import views

app_name = "course"
urlpatterns = [path("", views.layouts, name="layouts")]
