from django.urls import path

from events.setup import views

app_name = "setup"
urlpatterns = [path("", views.plan, name="plan")]
