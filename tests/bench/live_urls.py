"""The addresses of the bench: those of the house, a view that does nothing but answer so many letters, and one that
does nothing but keep a row first."""

from django.db import connection, transaction
from django.http import HttpRequest, HttpResponse
from django.urls import path

from desk.urls import urlpatterns as of_the_house
from events.setup.access import public


@public
def constant(request: HttpRequest, size: int) -> HttpResponse:
    return HttpResponse("x" * size) if size else HttpResponse(status=204)


@public
def kept(request: HttpRequest, size: int) -> HttpResponse:
    """What no server with this database can do without: read the body, commit one row, answer."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("INSERT INTO bench_row (text) VALUES (%s)", [request.body.decode()[:200]])
    return HttpResponse("x" * size)


urlpatterns = [path("constant/<int:size>/", constant), path("kept/<int:size>/", kept), *of_the_house]
