from django.urls import URLPattern

app_name = "ready"
urlpatterns: list[URLPattern] = []
