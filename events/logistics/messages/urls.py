from django.urls import URLPattern

app_name = "event_messages"
urlpatterns: list[URLPattern] = []
