from django.urls import URLPattern

app_name = "incidents"
urlpatterns: list[URLPattern] = []
