from django.urls import path

from scoring.cards import views

app_name = "group"
urlpatterns = [path("", views.group_page, name="page")]
