from django.urls import URLPattern

app_name = "penalties"
urlpatterns: list[URLPattern] = []
