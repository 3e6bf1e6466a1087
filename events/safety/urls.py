from django.urls import path

from events.safety import views

app_name = "safety"
urlpatterns = [
    path("", views.notices, name="notices"),
    path("<int:pk>/withdraw/", views.withdraw, name="withdraw"),
]
