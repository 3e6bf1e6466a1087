"""The addresses of the bench: those of the house, and a view that does nothing but answer so many letters."""

from django.http import HttpRequest, HttpResponse
from django.urls import path

from desk.urls import urlpatterns as of_the_house
from events.setup.access import public


@public
def constant(request: HttpRequest, size: int) -> HttpResponse:
    return HttpResponse("x" * size) if size else HttpResponse(status=204)


urlpatterns = [path("constant/<int:size>/", constant), *of_the_house]
