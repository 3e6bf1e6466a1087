from django.urls import path

from scoring.cards import views

app_name = "cards"
urlpatterns = [path("", views.room, name="room")]
