from django.urls import path

from events.bags import spot_views

app_name = "spot"
urlpatterns = [
    path("<int:round_number>/<int:number>/", spot_views.public_page, name="page"),
    path("<int:round_number>/<int:number>/print/", spot_views.public_print, name="print"),
]
