"""Pages of a studio that anybody may open: found by a row that shows while no studio is entered."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import TypeVar

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse

from studio import tenancy
from studio.tenancy.models import TenantModel
from studio.tenancy.rights import Role

Row = TypeVar("Row", bound=TenantModel)


@contextmanager
def entered_through(shown: QuerySet[Row], *, slug: str, role: Role) -> Iterator[Row]:
    """Inside the studio of the one row that ``shown`` finds, with that row. Raises ``Http404`` where there is none."""
    studio_id = shown.values_list("studio_id", flat=True).first()
    if studio_id is None:
        raise Http404
    with tenancy.entered(studio_id, slug=slug, role=role):
        yield shown.get()


def without_cookie(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Set no cookie with any answer of this view, be it a refusal: its page stands in other people's websites."""

    @wraps(view)
    def page(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        response = view(request, *args, **kwargs)
        # The frame of every page asks for a token; unless it is told so, Django's middleware doesn't send it.
        request.META.pop("CSRF_COOKIE_NEEDS_UPDATE", None)
        return response

    return page
