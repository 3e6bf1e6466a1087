from django.urls import path

from events.bags import call_views

urlpatterns = [
    path("", call_views.calls, name="calls"),
    path("tell/", call_views.tell, name="tell_call"),
    path("<int:pk>/back/", call_views.take_back, name="take_back_call"),
]
