"""A picture that a client likes, and the studio's designs nearest to it."""

from __future__ import annotations

from typing import Final
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quoting.likeness import matching, presenter
from quoting.likeness.forms import FoundForm, PictureForm, written
from quoting.likeness.matching import Wanted
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import fair_share, links
from studio.tenancy.rights import Right

PAGE: Final = "quoting/likeness/like_a_picture.html"


@takes_bodies_of(PICTURE_BYTES)
@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.SEE_QUOTES)
def like_a_picture(request: StudioRequest) -> HttpResponse:
    """Read a picture's colours; then show them with the designs nearest to them. The address carries what was found."""
    if request.method == "POST":
        return _read(request)
    asked = FoundForm(request.GET)
    if "found" not in request.GET or not asked.is_valid():
        return render(request, PAGE, {"form": PictureForm()})
    colours = asked.cleaned_data["found"]
    used = presenter.used_of(colours, set(request.GET.getlist("use")))
    matches = matching.nearest_designs(Wanted(used, asked.cleaned_data["proportion"]))
    on_the_shelf = matching.on_the_shelf(colours)
    context = {
        "form": PictureForm(),
        "asked": asked,
        "rows": presenter.colour_rows(on_the_shelf, used),
        "palette": presenter.palette_of(on_the_shelf, used),
        "cards": presenter.cards(matches),
    }
    return render(request, PAGE, context)


# Private


def _read(request: StudioRequest) -> HttpResponse:
    form = PictureForm(request.POST, request.FILES)
    try:
        with fair_share.turn(fair_share.PICTURES):
            if not form.is_valid():
                return render(request, PAGE, {"form": form}, status=422)
    except fair_share.TooMuch as refusal:
        untouched = PictureForm()
        return render(request, PAGE, {"form": untouched, "refused": refusal.messages}, status=429)
    found = form.found
    query = urlencode({"found": written(found.colours), "proportion": f"{found.proportion:.3f}"})
    return redirect(f"{links.to('quoting:like-a-picture')}?{query}")
