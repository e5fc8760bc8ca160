"""Rows of one change are written in one statement, as saving them one by one would write them, or not at all."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quoting.models import Quote, SetPiece, SketchVersion
from studio.tenancy.written_together import Altered, NotWritten, write_together
from tests.people import House
from tests.quoting import scenes


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def a_step(quote: Quote) -> SketchVersion:
    return SketchVersion(quote=quote, number=7, what="by hand", snapshot={"said": "it's 5 %"})


def columns(row: Quote | SetPiece) -> dict[str, object]:
    return {field.name: getattr(row, field.attname) for field in row._meta.concrete_fields}


def test_altered_and_new_rows_are_written_in_one_statement(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        piece.name, quoted.title, quoted.version = "It's 100 % new", "Anew", 9
        before = timezone.now()
        with CaptureQueriesContext(connection) as asked:
            altered = [
                Altered(quoted, ("title", "version", "changed_at")),
                Altered(piece, ("name", "takeoff")),
            ]
            write_together(altered, [a_step(quoted)])
        assert len(asked) == 1
        kept, kept_piece = Quote.objects.get(pk=quoted.pk), SetPiece.objects.get(pk=piece.pk)
        assert (kept.title, kept.version, kept_piece.name) == ("Anew", 9, "It's 100 % new")
        assert kept_piece.takeoff == piece.takeoff
        assert before <= kept.changed_at < before + timedelta(minutes=1)
        step = kept.sketches.get(number=7)
        assert (step.what, step.snapshot, step.studio_id) == (
            "by hand",
            {"said": "it's 5 %"},
            wickerlark.studio.pk,
        )
        assert step.made_at >= before


def test_what_is_not_named_stays_as_it_is(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        before = columns(Quote.objects.get(pk=quoted.pk))
        quoted.title, quoted.trips = "Anew", 5
        write_together([Altered(quoted, ("title",))])
        assert columns(Quote.objects.get(pk=quoted.pk)) == before | {"title": "Anew"}


def test_the_audit_trail_knows_of_it(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        quoted.title = "Anew"
        write_together([Altered(quoted, ("title",))])
        last = quoted.history.order_by("-pgh_id").first()  # type: ignore[attr-defined] # made by pghistory
        assert (last.pgh_label, last.title) == ("update", "Anew")


def test_where_a_row_is_not_there_nothing_is_written(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        gone = Quote(pk=quoted.pk + 999, title="Nobody's")
        quoted.title = "Anew"
        with pytest.raises(NotWritten), transaction.atomic():
            write_together([Altered(quoted, ("title",)), Altered(gone, ("title",))], [a_step(quoted)])
        assert Quote.objects.get(pk=quoted.pk).title != "Anew"
        assert not quoted.sketches.exists()


def test_a_row_of_another_studio_is_not_there(wickerlark: House, federkorn: House, quoted: Quote) -> None:
    quoted.title = "Stolen"
    with federkorn.enter(), pytest.raises(NotWritten), transaction.atomic():
        write_together([Altered(quoted, ("title",))])
    with wickerlark.enter():
        assert Quote.objects.get(pk=quoted.pk).title != "Stolen"
