from django.urls import path

from events.logistics.incidents import views

app_name = "incidents"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("all.pdf", views.paper, name="all_paper"),
    path("<int:pk>/", views.incident, name="incident"),
    path("<int:pk>/incident.pdf", views.paper, name="paper"),
]
