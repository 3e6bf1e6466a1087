from django.urls import path

from events.bags import spot_views

urlpatterns = [
    path("", spot_views.spot_checks_page, name="spot_checks"),
    path("<int:pk>/draw/", spot_views.draw, name="spot_draw"),
    path("<int:pk>/notice/", spot_views.notice, name="spot_notice"),
]
