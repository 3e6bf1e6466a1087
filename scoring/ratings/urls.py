from django.urls import path

from scoring.ratings import course_views, decision_views, history_views, views

app_name = "ratings"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("pdf/", views.pdf, name="pdf"),
    path("method/", decision_views.method, name="method"),
    path("join/", decision_views.join, name="join"),
    path("split/", decision_views.split, name="split"),
    path("leave-out/", decision_views.leave_out, name="leave_out"),
    path("player/<int:entry>/", views.player, name="player"),
    path("players/", history_views.players, name="players"),
    path("players/adopt/", history_views.adopt, name="adopt"),
    path("players/adopt-all/", history_views.adopt_all, name="adopt_all"),
    path("holes/", course_views.course, name="course"),
    path("holes/pdf/", course_views.pdf, name="course_pdf"),
]
