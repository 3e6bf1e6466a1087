from django.urls import path

from events.logistics.running import views

app_name = "running"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("news/", views.news, name="news"),
    path("run.pdf", views.paper, name="paper"),
    path("delay/", views.delay, name="delay"),
    path("delay/<int:pk>/undo/", views.undo_delay, name="undo_delay"),
    path("item/", views.item, name="item"),
    path("item/remove/", views.remove, name="remove"),
    path("item/<int:pk>/restore/", views.restore, name="restore"),
]
