from django.urls import path

from scoring.prizes import forfeit_views, hand_views, table_views, views

app_name = "prizes"
urlpatterns = [
    path("", views.overview, name="overview"),
    path("plan/", views.event_plan, name="event_plan"),
    path("fees/", views.fees_published, name="fees_published"),
    path("rest/", views.the_rest, name="the_rest"),
    path("post/", views.post, name="post"),
    path("division/<str:code>/", views.division, name="division"),
    path("tables/", table_views.tables, name="tables"),
    path("hand-out/", hand_views.hand_out, name="hand_out"),
    path("hand-out/<int:pk>/", hand_views.give, name="give"),
    path("hand-out/<int:pk>/said/", hand_views.said, name="said"),
    path("hand-out/<int:pk>/undo/", hand_views.undo, name="take_back"),
    path("hand-out/<int:pk>/forfeit/", forfeit_views.forfeit, name="forfeit"),
    path("hand-out/<int:pk>/claimed/", forfeit_views.undo, name="not_forfeited"),
    path("paper/payout/", hand_views.payout_paper, name="payout_paper"),
    path("paper/receipts/", hand_views.receipts_paper, name="receipts_paper"),
    path("paper/list/", hand_views.list_paper, name="list_paper"),
]
