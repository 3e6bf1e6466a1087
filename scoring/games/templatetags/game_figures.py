"""Distances of contests on pages."""

from django import template

from scoring.games.distances import distance_text

register = template.Library()


@register.filter
def distance(cm: int, units: str = "m") -> str:
    return distance_text(cm, units)
