from django.urls import URLPattern

app_name = "group"
urlpatterns: list[URLPattern] = []
