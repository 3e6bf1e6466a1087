from django.urls import URLPattern

app_name = "crew"
urlpatterns: list[URLPattern] = []
