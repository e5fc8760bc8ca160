"""Finished work in public: a page, its photos and the studio's logo, for anybody, while the studio shows them."""

from __future__ import annotations

from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from events.portfolio import public_page
from studio import tenancy
from studio.models import entered_studio
from studio.people.rate_limit import LINK, LOOK, limited
from studio.people.views import logo_response
from studio.tenancy import links

CACHED: Final = "public, max-age=300"
"""Short: a photo whose consent is withdrawn is gone from caches within five minutes (setting)."""


@require_safe
@limited(LINK, "portfolio")
def show_portfolio(request: HttpRequest, name: str) -> HttpResponse:
    """The photos that clients let the studio show."""
    with public_page.entered(name) as portfolio:
        studio = entered_studio()
        photos = public_page.shown_photos()
        first = [reverse("public-portfolio-photo", args=[name, photos[0].photo_id])] if photos else []
        context = {
            "portfolio": portfolio,
            "studio": {
                "name": studio.name,
                "email": studio.email,
                "phone": studio.phone,
                "brand_colour": studio.brand_colour,
                "logo_url": reverse("public-portfolio-logo", args=[name]) if studio.logo_digest else "",
            },
            "photos": photos,
            "url": links.absolute(reverse("public-portfolio", args=[name])),
            "picture": links.absolute(first[0]) if first else "",
        }
        response = render(request, "events/portfolio/public.html", context)
    response["Cache-Control"] = CACHED
    return response


@require_safe
@limited(LOOK, "portfolio photo")
def show_photo(request: HttpRequest, name: str, photo_id: int) -> HttpResponse:
    """One of its photos."""
    with public_page.entered(name):
        response = HttpResponse(public_page.content(photo_id), content_type="image/webp")
    response["Cache-Control"] = CACHED
    return response


@require_safe
@limited(LINK, "portfolio logo")
def show_logo(request: HttpRequest, name: str) -> HttpResponse:
    """The studio's logo."""
    with public_page.entered(name):
        return logo_response(tenancy.current_studio_id())
