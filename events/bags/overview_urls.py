from django.urls import path

from events.bags import overview_views

urlpatterns = [
    path("", overview_views.overview, name="overview"),
    path("equipment.xlsx", overview_views.workbook, name="workbook"),
    path("paper/<int:entry>/<int:round_number>/", overview_views.declaration, name="paper_declaration"),
    path(
        "paper/<int:round_number>/declarations/", overview_views.all_declarations, name="paper_declarations"
    ),
    path("paper/<int:round_number>/equipment-desk/", overview_views.equipment_list, name="paper_desk"),
    path("paper/<int:round_number>/weighings/", overview_views.record, name="paper_weighings"),
    path("paper/<int:round_number>/keepsakes/", overview_views.keepsake, name="paper_keepsakes"),
]
