from django.urls import URLPattern

app_name = "spot"
urlpatterns: list[URLPattern] = []
