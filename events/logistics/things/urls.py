from django.urls import path

from events.logistics.things import views

app_name = "things"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("plan/", views.plan, name="plan"),
    path("own/", views.own, name="own"),
    path("own/<int:pk>/drop/", views.drop, name="drop"),
    path("lengths/", views.lengths, name="lengths"),
    path("lengths/keep/", views.measure, name="measure"),
    path("loading.pdf", views.loading_paper, name="loading"),
    path("lots/<int:pk>/move/", views.move, name="move"),
    path("lots/<int:pk>/remove/", views.remove, name="remove"),
    path("thing/<slug:line>/", views.thing, name="thing"),
    path("thing/<slug:line>/needed/", views.needed, name="needed"),
    path("thing/<slug:line>/got/", views.got, name="got"),
]
