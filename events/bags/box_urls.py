from django.urls import path

from events.bags import box_views

urlpatterns = [
    path("", box_views.box, name="box"),
    path("models/", box_views.models, name="box_models"),
    path("<int:entry>/acts/", box_views.acts, name="box_acts"),
]
