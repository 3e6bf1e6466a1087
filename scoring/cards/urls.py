from django.urls import path

from scoring.cards import ruling_views, views

app_name = "cards"
urlpatterns = [
    path("", views.room, name="room"),
    path("waiting/", views.waiting_list, name="waiting"),
    path("<int:round_number>/<int:group>/save/", views.save, name="save"),
    path("<int:round_number>/<int:group>/open/", views.opened, name="open"),
    path("<int:round_number>/<int:group>/finished/", views.mark, {"what": "finished"}, name="finished"),
    path("<int:round_number>/<int:group>/returned/", views.mark, {"what": "returned"}, name="returned"),
    path("<int:round_number>/<int:group>/decide/<int:version>/", views.decide, name="decide"),
    path("<int:round_number>/<int:group>/rulings/", ruling_views.book, name="rule"),
    path("<int:round_number>/<int:group>/rulings/<int:pk>/", ruling_views.in_card, name="in_card"),
    path("<int:round_number>/<int:group>/rulings/<int:pk>/back/", ruling_views.take_back, name="unrule"),
]
