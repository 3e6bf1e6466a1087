from django.urls import path

from events.bags import desk_views, scale_views

urlpatterns = [
    path("", desk_views.desk, name="desk"),
    path("<int:entry>/<int:disc>/keep/", desk_views.keep, name="keep"),
    path("<int:entry>/<int:disc>/question/", desk_views.question, name="question"),
    path("<int:entry>/add/", desk_views.add, name="desk_add"),
    path("question/<int:pk>/decide/", desk_views.decide, name="decide_question"),
    path("scale/", scale_views.use_scale, name="use_scale"),
    path("scales/", scale_views.scales, name="scales"),
    path("weighing/<int:pk>/", desk_views.working, name="weighing"),
    path("<int:entry>/slip/<int:round_number>/", desk_views.slip, name="slip"),
]
