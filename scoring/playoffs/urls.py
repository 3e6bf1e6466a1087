from django.urls import URLPattern

app_name = "playoffs"
urlpatterns: list[URLPattern] = []
