from django.urls import path

from scoring.playoffs import call_views, playoff_views, trophy_views, views

app_name = "playoffs"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("cut/<int:pk>/", views.cut, name="cut"),
    path("cut/<int:pk>/declined/<int:entry>/", views.declined, name="declined"),
    path("co-winners/<str:code>/", views.co_winners, name="co_winners"),
    path("begin/<str:code>/<int:after_round>/", playoff_views.begin_page, name="begin"),
    path("trophy/<str:code>/<int:trophy>/", playoff_views.begin_page, name="begin_trophy"),
    path("trophy/<str:code>/<int:trophy>/contest/", trophy_views.contest, name="contest"),
    path("contest/<int:pk>/back/", trophy_views.contest_back, name="contest_back"),
    path("call/<int:pk>/back/", call_views.uncall, name="uncall"),
    path("<int:pk>/call/", call_views.call, name="call"),
    path("<int:pk>/", playoff_views.playoff, name="playoff"),
    path("<int:pk>/change/", playoff_views.change, name="change"),
]
