from django.urls import path

from events.bags import call_views

urlpatterns = [
    path("", call_views.calls, name="calls"),
    path("<int:entry>/<int:round_number>/", call_views.write, name="call"),
    path("<int:pk>/take-back/", call_views.take_back, name="take_back_call"),
]
