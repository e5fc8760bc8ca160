"""An image on a frame's cover: chosen, brought, laid anew and taken off by forms."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from quoting.models import PrintImage, TableDraft
from tests.people import House
from tests.quoting.drawing_table.test_views import act, design_now, draft
from tests.quoting.prints.pictures import kept, upload

__all__ = ["draft"]
REF = "frame:frame-1"


@pytest.fixture
def covered(wickerlark: House, draft: TableDraft) -> TableDraft:
    """An arch in a sage cover."""
    act(wickerlark, draft, "put-frame", item="frame-arch-7ft", x_m="0")
    act(wickerlark, draft, "cover", thing=REF, item="cover-arch-7ft-sage")
    return draft


def file(content: bytes | None = None) -> SimpleUploadedFile:
    return SimpleUploadedFile("Forest glade.png", upload() if content is None else content, "image/png")


def laid(house: House, draft: TableDraft) -> Any:
    return design_now(house, draft).frames[0].cover_print


def panel(house: House, draft: TableDraft) -> str:
    answer = house.client("staff").get(house.url("quoting:table", draft.pk), {"thing": REF})
    return str(answer.content.decode())


def test_a_covered_frame_has_a_form_that_brings_an_image(wickerlark: House, covered: TableDraft) -> None:
    html = panel(wickerlark, covered)
    assert "Image on the cover" in html
    form = re.search(r'<form class="act-form"[^>]*enctype="multipart/form-data"[^>]*>', html)
    assert form is not None
    assert "data-act" not in form[0]  # a script can't send a file as an act: the browser does
    act(wickerlark, covered, "cover", thing=REF, item="")
    assert "Image on the cover" not in panel(wickerlark, covered)


def test_an_uploaded_image_is_kept_printed_and_shown(wickerlark: House, covered: TableDraft) -> None:
    answer = act(wickerlark, covered, "print", thing=REF, form="print-upload", upload=file())
    assert answer.status_code == 302, answer.content.decode()[:2000]
    with wickerlark.enter():
        image = PrintImage.objects.get()
        address = wickerlark.url("quoting:print-image", image.digest)
    assert image.name == "Forest glade"
    assert (laid(wickerlark, covered).digest, laid(wickerlark, covered).fit) == (image.digest, "cover")
    html = panel(wickerlark, covered)
    assert f'href="{address}"' in html
    assert re.search(rf'<option value="{image.digest}" selected', html)
    assert wickerlark.client("staff").get(address).status_code == 200


def test_an_image_is_chosen_laid_anew_and_taken_off(wickerlark: House, covered: TableDraft) -> None:
    with wickerlark.enter():
        first, second = kept().digest, kept("#112233", "Night.png").digest
    act(wickerlark, covered, "print", thing=REF, image=first, fit="contain", bleed_m="3 cm", y_share="20")
    found = laid(wickerlark, covered)
    assert (found.fit, found.bleed_m, found.x_share, found.y_share) == ("contain", 0.03, 0.5, 0.2)
    act(wickerlark, covered, "print", thing=REF, upload=file(upload("#112233")))
    assert laid(wickerlark, covered) == type(found)(
        digest=second, aspect=1.5, fit="contain", bleed_m=0.03, y_share=0.2
    )
    act(wickerlark, covered, "print", thing=REF, image="")
    assert laid(wickerlark, covered) is None


def test_no_bleed_is_a_bleed(wickerlark: House, covered: TableDraft) -> None:
    with wickerlark.enter():
        digest = kept().digest
    act(wickerlark, covered, "print", thing=REF, image=digest, bleed_m="0")
    assert laid(wickerlark, covered).bleed_m == 0.0


@pytest.mark.parametrize("content", [b"no picture", upload()[:200], upload(size=(5200, 5000))])
def test_what_is_no_image_is_refused_at_its_field(
    wickerlark: House, covered: TableDraft, content: bytes
) -> None:
    answer = act(wickerlark, covered, "print", thing=REF, form="print-upload", upload=file(content))
    html = answer.content.decode()
    assert answer.status_code == 422
    field = html[html.index('name="upload"') - 400 : html.index('name="upload"') + 600]
    assert "no picture that can be read" in html or "at most 24 million" in html
    assert "aria-invalid" in field
    assert laid(wickerlark, covered) is None


@pytest.mark.parametrize(
    ("field", "typed"), [("image", "0" * 64), ("bleed_m", "-5 cm"), ("bleed_m", "4 m"), ("x_share", "140")]
)
def test_what_cannot_be_laid_is_refused_at_its_field(
    wickerlark: House, covered: TableDraft, field: str, typed: str
) -> None:
    with wickerlark.enter():
        digest = kept().digest
    sent = {
        "image": digest,
        "fit": "cover",
        "bleed_m": "5 cm",
        "x_share": "50",
        "y_share": "50",
        field: typed,
    }
    answer = act(wickerlark, covered, "print", thing=REF, form="print", **sent)
    assert answer.status_code == 422
    assert laid(wickerlark, covered) is None


def test_another_studio_s_image_is_refused(wickerlark: House, federkorn: House, covered: TableDraft) -> None:
    with federkorn.enter():
        digest = kept().digest
    assert act(wickerlark, covered, "print", thing=REF, image=digest).status_code == 422


def test_an_image_that_was_deleted_leaves_the_page_whole(wickerlark: House, covered: TableDraft) -> None:
    with wickerlark.enter():
        digest = kept().digest
    act(wickerlark, covered, "print", thing=REF, image=digest)
    with wickerlark.enter():
        PrintImage.objects.all().delete()
    html = panel(wickerlark, covered)
    assert "an image that was deleted" in html
    assert "<image" not in html


def test_an_image_is_deleted_at_the_table_and_its_cover_is_plain(
    wickerlark: House, federkorn: House, covered: TableDraft
) -> None:
    with wickerlark.enter():
        digest = kept().digest
    with federkorn.enter():
        theirs = kept("#445566").digest
    act(wickerlark, covered, "print", thing=REF, image=digest)
    assert "Delete this image" in panel(wickerlark, covered)
    address, client = wickerlark.url("quoting:table-image-delete", covered.pk), wickerlark.client("staff")
    for image in (theirs, "", "\x00"):
        assert client.post(address, {"image": image}).status_code == 404
    assert client.post(address, {"image": digest, "thing": REF}).status_code == 302
    html = panel(wickerlark, covered)
    assert "<image" not in html
    assert "Delete this image" not in html
    with federkorn.enter():
        assert PrintImage.objects.count() == 1


def test_the_strip_says_what_is_to_be_made(wickerlark: House, covered: TableDraft) -> None:
    with wickerlark.enter():
        digest = kept().digest
    act(wickerlark, covered, "print", thing=REF, image=digest)
    html = panel(wickerlark, covered)
    assert "1 printed cover, 1.22 × 2.13 m with 5 cm bleed, to be made<" in re.sub(r"\s+<", "<", html)
