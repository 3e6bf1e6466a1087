from django.urls import path

from scoring.report import views

app_name = "report"
urlpatterns = [path("", views.close, name="close")]
