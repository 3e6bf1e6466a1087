from django.urls import path

from events.safety import paper_views as views

urlpatterns = [
    path("papers/", views.papers, name="papers"),
    path("papers/<slug:what>.pdf", views.paper, name="paper"),
    path("emergency/", views.emergency, name="emergency"),
    path("duties/", views.duties, name="duties"),
    path("duties/<int:pk>/end/", views.end_duty, name="end_duty"),
]
