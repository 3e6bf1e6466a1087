from django.urls import URLPattern

app_name = "running"
urlpatterns: list[URLPattern] = []
