from django.urls import path

from scoring.games import views

app_name = "games"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("paper/", views.paper, name="paper"),
    path("<int:pk>/", views.game, name="game"),
    path("<int:pk>/change/", views.change, name="change"),
    path("<int:pk>/remove/", views.remove, name="remove"),
    path("<int:pk>/place/", views.place, name="place"),
    path("<int:pk>/tickets/", views.tickets, name="tickets"),
    path("<int:pk>/pot/", views.pot, name="pot"),
    path("<int:pk>/line/<int:line>/undo/", views.undo_line, name="undo_line"),
    path("<int:pk>/mark/", views.mark, name="mark"),
    path("<int:pk>/mark/<int:row>/back/", views.back_mark, name="back_mark"),
    path("<int:pk>/ace/", views.ace, name="ace"),
    path("<int:pk>/ace/answer/", views.answer_one, name="answer_one"),
    path("<int:pk>/ace/<int:row>/back/", views.back_ace, name="back_ace"),
    path("<int:pk>/sale/close/", views.close, name="close"),
    path("<int:pk>/sale/open/", views.reopen, name="reopen"),
    path("<int:pk>/draw/", views.call, name="call"),
    path("<int:pk>/settle/", views.settle, name="settle"),
    path("<int:pk>/settle/back/", views.unsettle, name="unsettle"),
    path("<int:pk>/award/<int:row>/hand/", views.hand, name="hand"),
    path("<int:pk>/award/<int:row>/back/", views.unhand, name="unhand"),
]
