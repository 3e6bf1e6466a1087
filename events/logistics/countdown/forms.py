"""The form of an own task."""

from typing import Any

from django import forms

from events.logistics.countdown.models import Task
from events.logistics.countdown.services import FARTHEST_DAYS, TaskFacts


class TaskForm(forms.Form):
    what = forms.CharField(
        label="What is to be done", max_length=160, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    days = forms.IntegerField(
        label="Days", required=False, min_value=0, max_value=FARTHEST_DAYS, help_text="Moves with the event"
    )
    start = forms.ChoiceField(
        label="Counted", required=False, choices=[("", "not by days"), *Task.Start.choices]
    )
    due_on = forms.DateField(
        label="Or on the day",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    owner = forms.CharField(label="Who", required=False, max_length=60)
    slips = forms.CharField(label="What follows when it slips", required=False, max_length=200)

    def facts(self) -> TaskFacts:
        cleaned: dict[str, Any] = self.cleaned_data
        return TaskFacts(**cleaned)

    @staticmethod
    def of(task: Task) -> "TaskForm":
        """The form as the task stands."""
        names = ("what", "days", "start", "due_on", "owner", "slips")
        return TaskForm(initial={name: getattr(task, name) for name in names})
