from django.urls import path

from scoring.cards import evidence_views, ruling_views, views

app_name = "cards"
urlpatterns = [
    path("", views.room, name="room"),
    path("waiting/", views.waiting_list, name="waiting"),
    path("<int:round_number>/<int:group>/save/", views.save, name="save"),
    path("<int:round_number>/<int:group>/open/", views.opened, name="open"),
    path("<int:round_number>/<int:group>/finished/", views.mark, {"what": "finished"}, name="finished"),
    path("<int:round_number>/<int:group>/returned/", views.mark, {"what": "returned"}, name="returned"),
    path("<int:round_number>/<int:group>/decide/<int:version>/", views.decide, name="decide"),
    path("<int:round_number>/radio/", evidence_views.radio, name="radio"),
    path("<int:round_number>/verify/", evidence_views.verify_agreed, name="verify_agreed"),
    path("<int:round_number>/<int:group>/radio/<uuid:call>/", evidence_views.radio_back, name="radio_back"),
    path("<int:round_number>/<int:group>/cells/", evidence_views.decide, name="cells"),
    path("<int:round_number>/<int:group>/verify/", evidence_views.verify, name="verify"),
    path("<int:round_number>/<int:group>/unlock/", evidence_views.unlock, name="unlock"),
    path("<int:round_number>/<int:group>/sign/", evidence_views.sign, name="sign"),
    path("confirmations/<int:pk>/back/", evidence_views.unsign, name="unsign"),
    path("<int:round_number>/<int:group>/photo/", evidence_views.photo, name="photo"),
    path("photos/<int:pk>/", evidence_views.photo_image, name="photo_image"),
    path("photos/<int:pk>/away/", evidence_views.photo_away, name="photo_away"),
    path("<int:round_number>/<int:group>/rulings/", ruling_views.book, name="rule"),
    path("<int:round_number>/<int:group>/rulings/<int:pk>/", ruling_views.in_card, name="in_card"),
    path("<int:round_number>/<int:group>/rulings/<int:pk>/back/", ruling_views.take_back, name="unrule"),
]
