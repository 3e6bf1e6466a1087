from django.urls import URLPattern

app_name = "countdown"
urlpatterns: list[URLPattern] = []
