from django.urls import path

from scoring.report import result_views, views

app_name = "report"
urlpatterns = [
    path("", views.close, name="close"),
    path("results.xlsx", views.workbook, name="workbook"),
    path("results.pdf", result_views.results_paper, name="paper"),
    path("results.json", result_views.as_json, name="json"),
    path("results.csv", result_views.as_csv, name="csv"),
    path("results.schema.json", result_views.schema, name="schema"),
    path("over/", views.declare_over, name="over"),
    path("again/", views.open_again, name="again"),
]
