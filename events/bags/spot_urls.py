from django.urls import path

from events.bags import spot_views

urlpatterns = [
    path("", spot_views.checks, name="spot_checks"),
    path("planner/", spot_views.planner, name="spot_planner"),
    path("<int:round_number>/<int:number>/", spot_views.check, name="spot_check"),
    path("<int:round_number>/<int:number>/notice/", spot_views.print_notice, name="spot_notice"),
]
