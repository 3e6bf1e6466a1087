"""Answers that are files."""

from django.http import HttpResponse


def shown_pdf(content: bytes, name: str) -> HttpResponse:
    """A paper that the browser shows; whoever keeps it keeps it under `name`."""
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer
