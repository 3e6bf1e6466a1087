from django.urls import path

from scoring.money import views

app_name = "money"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("paper/", views.paper, name="paper"),
    path("table/", views.table, name="table"),
    path("lines/", views.lines, name="lines"),
    path("lines/<int:pk>/reverse/", views.reverse, name="reverse"),
    path("box/", views.box, name="box"),
    path("box/count/<str:kind>/", views.count, name="count"),
    path("box/<int:pk>/reason/", views.explain, name="explain"),
]
