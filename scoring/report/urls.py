from django.urls import path

from scoring.report import views

app_name = "report"
urlpatterns = [
    path("", views.close, name="close"),
    path("results.xlsx", views.workbook, name="workbook"),
    path("over/", views.declare_over, name="over"),
    path("again/", views.open_again, name="again"),
]
