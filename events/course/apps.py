from django.apps import AppConfig


class CourseConfig(AppConfig):
    name = "events.course"
    label = "course"
    verbose_name = "Course and layouts"
