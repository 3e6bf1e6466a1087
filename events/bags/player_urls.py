from django.urls import URLPattern

app_name = "bag"
urlpatterns: list[URLPattern] = []
