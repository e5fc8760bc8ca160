"""Papers written out by a page and printed by the worker: once, as they were asked for, kept for a day."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.http import Http404
from django.utils import timezone

from studio.models import OutboxEntry, StoredFile
from studio.paper import written_out
from studio.paper.written_out import WrittenOut
from studio.tasks import let_papers_go
from tests.people import House
from tests.worker import print_papers

SHEET = WrittenOut("run-sheet-7", "<html lang=en><title>A sheet</title><h1>Saturday</h1></html>")


def test_what_was_ordered_twice_is_printed_once(wickerlark: House) -> None:
    with wickerlark.enter():
        assert written_out.order(SHEET) == written_out.order(SHEET)
        assert written_out.find("run-sheet-7", SHEET.digest).file is None
    assert print_papers(wickerlark) == 1
    with wickerlark.enter():
        file = written_out.find("run-sheet-7", SHEET.digest).file
        assert file is not None
        assert bytes(file.content).startswith(b"%PDF")
        assert written_out.print_out(file.name, SHEET.html).pk == file.pk


def test_other_words_are_another_paper(wickerlark: House) -> None:
    other = WrittenOut("run-sheet-7", SHEET.html.replace("Saturday", "Sunday"))
    with wickerlark.enter():
        assert written_out.order(SHEET) != written_out.order(other)
        assert OutboxEntry.objects.count() == 2


def test_what_nobody_ordered_is_not_found_nor_is_another_studios(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        written_out.order(SHEET)
        with pytest.raises(Http404):
            written_out.find("run-sheet-8", SHEET.digest)
    with federkorn.enter(), pytest.raises(Http404):
        written_out.find("run-sheet-7", SHEET.digest)


def test_a_paper_that_was_given_up_says_so(wickerlark: House) -> None:
    with wickerlark.enter():
        written_out.order(SHEET)
        OutboxEntry.objects.update(failed_at=timezone.now())
        assert written_out.find("run-sheet-7", SHEET.digest).failed


def test_after_a_day_it_is_let_go_and_can_be_ordered_again(wickerlark: House) -> None:
    with wickerlark.enter():
        written_out.order(SHEET)
        StoredFile.objects.create(name="logo.png", media_type="image/png", content=b"x", digest="x")
    print_papers(wickerlark)
    with time_machine.travel(timezone.now() + timedelta(hours=23)):
        assert let_papers_go() == 0
    with time_machine.travel(timezone.now() + timedelta(hours=25)):
        assert let_papers_go() == 1
    with wickerlark.enter():
        assert list(StoredFile.objects.values_list("name", flat=True)) == ["logo.png"]
        assert not OutboxEntry.objects.exists()
        written_out.order(SHEET)
    assert print_papers(wickerlark) == 1
