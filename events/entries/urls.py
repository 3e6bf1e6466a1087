from django.urls import path

from events.entries import views

app_name = "entries"
urlpatterns = [path("", views.desk, name="desk")]
