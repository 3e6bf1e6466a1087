from django.urls import path

from scoring.standings import views

app_name = "standings"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("sheet.pdf", views.pdf, name="pdf"),
    path("player/<int:pk>/", views.player, name="player"),
]
