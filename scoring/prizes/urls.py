from django.urls import URLPattern

app_name = "prizes"
urlpatterns: list[URLPattern] = []
