from django.urls import path

from events.safety import paper_urls, views, weather_urls

app_name = "safety"
urlpatterns = [
    path("", views.notices, name="notices"),
    path("<int:pk>/", views.notice, name="notice"),
    path("<int:pk>/notice.pdf", views.notice_paper, name="notice_paper"),
    path("<int:pk>/replace/", views.replace, name="replace"),
    path("<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    *weather_urls.urlpatterns,
    *paper_urls.urlpatterns,
]
