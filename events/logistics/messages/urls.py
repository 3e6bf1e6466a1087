from django.urls import path

from events.logistics.messages import views

app_name = "event_messages"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("words/", views.words_page, name="words"),
    path("mail.eml", views.mail_page, name="mail"),
    path("addressed.eml", views.addressed_page, name="addressed"),
]
