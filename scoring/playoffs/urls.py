from django.urls import path

from scoring.playoffs import playoff_views, views

app_name = "playoffs"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("cut/<int:pk>/", views.cut, name="cut"),
    path("cut/<int:pk>/declined/<int:entry>/", views.declined, name="declined"),
    path("co-winners/<str:code>/", views.co_winners, name="co_winners"),
    path("begin/<str:code>/<int:after_round>/", playoff_views.begin_page, name="begin"),
    path("<int:pk>/", playoff_views.playoff, name="playoff"),
    path("<int:pk>/change/", playoff_views.change, name="change"),
]
