from django.urls import path

from events.bags import public_spot_views

app_name = "spot"
urlpatterns = [
    path("", public_spot_views.index, name="index"),
    path("<int:round_number>/<int:number>/", public_spot_views.check, name="page"),
    path("<int:round_number>/<int:number>/print/", public_spot_views.proof_print, name="print"),
]
