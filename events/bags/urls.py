from django.urls import include, path

app_name = "bags"
urlpatterns = [
    path("", include("events.bags.overview_urls")),
    path("lists/", include("events.bags.list_urls")),
    path("box/", include("events.bags.box_urls")),
    path("desk/", include("events.bags.desk_urls")),
    path("calls/", include("events.bags.call_urls")),
    path("spot-checks/", include("events.bags.spot_urls")),
]
