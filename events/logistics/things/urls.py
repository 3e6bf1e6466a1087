from django.urls import URLPattern

app_name = "things"
urlpatterns: list[URLPattern] = []
