"""Money on the pages of the event's money: with both cents, so that a column can be added up by eye."""

from django import template

from scoring.money.paper import exact

register = template.Library()


@register.filter
def exact_money(cents: int, currency: str = "USD") -> str:
    return exact(cents, currency)
