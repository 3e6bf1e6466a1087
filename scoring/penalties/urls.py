from django.urls import path

from scoring.penalties import absence_views, helper_views, views

app_name = "penalties"
urlpatterns = [
    path("", views.penalties, name="list"),
    path("new/", helper_views.new, name="new"),
    path("write/", helper_views.write, name="write"),
    path("absent/", absence_views.absent, name="absent"),
    path("event-warning/", helper_views.warn_event, name="warn_event"),
    path("table/", views.table, name="table"),
    path("table/paper/", views.table_paper, name="table_paper"),
    path("warnings/<int:pk>/take-back/", views.unwarn, name="unwarn"),
    path("rulings/<int:pk>/take-back/", views.unrule, name="unrule"),
]
