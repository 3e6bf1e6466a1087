"""Answers that are files, or say why there is none."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect


def shown_pdf(content: bytes, name: str) -> HttpResponse:
    """A paper that the browser shows; whoever keeps it keeps it under `name`."""
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def nothing_to_print(request: HttpRequest, why: str, page: str, *args: object) -> HttpResponseRedirect:
    """Back to the page that offers the paper, with the sentence `why` on it. `page`: the name of its address."""
    messages.warning(request, f"{why} There is nothing to print.")
    return redirect(page, *args)
