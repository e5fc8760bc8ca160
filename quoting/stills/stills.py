"""Lifelike pictures of set pieces: asked for, rendered by the worker, found again by what they show.

A still belongs to a design, a room (or a photo of the venue with its marks) and an angle, not to a piece: an offer that
names one keeps it, whatever becomes of the piece, and asking twice for the same makes one picture. Without a renderer
nobody is told that one is missing.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Final, NamedTuple

from django.conf import settings
from django.core.cache import cache
from django.db import transaction
from django.db.models import Subquery
from django.http import Http404, HttpResponse
from django.utils import timezone

from quoting.craft.design.design_file import read_design
from quoting.craft.design.faults import DesignError
from quoting.craft.solid.scene import scene_of
from quoting.craft.still.backdrop import light_in, photo_pixels
from quoting.craft.still.still import RULES, Look, still_files, window_in_photo
from quoting.models import RoomPhoto, SetPiece, Still, StillRoom, StillState
from quoting.prints import images
from quoting.set_pieces.worked import taken_off
from quoting.stills import rendering, venue
from quoting.stills.venue import NoPhoto, PhotoGone, Written
from studio import tenancy
from studio.models import OutboxEntry, StoredFile
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import STILLS
from studio.tenancy.rights import Right

TASK: Final = "quoting.render_still"
PROGRESS_SECONDS: Final = 900
MOST_TRIES: Final = 3
SHOWN: Final = ("design", "still_room", "still_turn_deg", "quote_id", "room_x_m", "room_back_m")
"""The columns of a piece that its still follows from."""


class Shown(NamedTuple):
    """What a piece's still follows from, in the order of :data:`SHOWN`."""

    design: Mapping[str, object]
    room: str
    turn_deg: int
    quote_id: int
    x_m: Decimal | None
    back_m: Decimal


def are_made() -> bool:
    """Whether this installation renders stills."""
    return bool(settings.STILLS)


def keys_of(pieces: Iterable[Shown]) -> list[str]:
    """The keys of pieces' stills. One query where one of them stands before a photo."""
    listed = list(pieces)
    photos = venue.marked(one.quote_id for one in listed if one.room == StillRoom.VENUE)
    return [_key(one, _backdrop(one, photos)) for one in listed]


def key_of_piece(piece: SetPiece) -> str:
    """The key of a piece's still as it stands now."""
    return keys_of([_shown(piece)])[0]


def ask(piece: SetPiece) -> Still:
    """Have the piece rendered as it stands, in its room and from its angle; the same twice is rendered once.

    Raises :class:`studio.tenancy.fair_share.TooMuch`, and :class:`quoting.stills.venue.NoPhoto` where it is to stand
    before a photo that isn't there.
    """
    require(Right.SEE_QUOTES)
    shown = _shown(piece)
    backdrop = _backdrop(shown, venue.marked([piece.quote_id])) if shown.room == StillRoom.VENUE else None
    if shown.room == StillRoom.VENUE and backdrop is None:
        raise NoPhoto
    with transaction.atomic():
        still, made = Still.objects.select_for_update(no_key=True).get_or_create(
            key=_key(shown, backdrop),
            defaults={
                "design": piece.design,
                "backdrop": backdrop,
                "room": piece.still_room,
                "turn_deg": piece.still_turn_deg,
                "asked_by_id": tenancy.current().person_id,
            },
        )
        if made or _may_try_again(still):
            _order(still)
    return still


def show_in(piece: SetPiece, room: str, turn_deg: int) -> Still:
    """Choose the room and the angle of a piece's stills, and ask for one. It changes nothing of the quote.

    Raises as :func:`ask` does; then the choice is what it was.
    """
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        SetPiece.objects.filter(pk=piece.pk).update(still_room=room, still_turn_deg=turn_deg)
        piece.still_room, piece.still_turn_deg = room, turn_deg
        return ask(piece)


def of_piece(piece: SetPiece) -> Still | None:
    """The still of a piece as it stands; None where nobody asked for it."""
    return Still.objects.filter(key=key_of_piece(piece)).first()


def of_keys(keys: Iterable[str]) -> dict[str, Still]:
    """The stills of these keys. One query, none without keys."""
    wanted = [key for key in keys if key]
    return (
        {still.key: still for still in Still.objects.filter(key__in=wanted).defer("design")} if wanted else {}
    )


def find(key: str) -> Still:
    """A still of this studio. Raises ``Http404``."""
    found = Still.objects.filter(key=key).first()
    if found is None:
        raise Http404
    return found


def picture(still: Still, *, small: bool = False) -> StoredFile:
    """The picture of a still. Raises ``Http404`` while there is none."""
    file_id = still.small_id if small else still.large_id
    if file_id is None:
        raise Http404
    return StoredFile.objects.get(pk=file_id)


def picture_response(file: StoredFile) -> HttpResponse:
    """A picture that never changes under its address."""
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    return response


def percent(still: Still) -> int:
    """How much of a still is done, of 100; 0 while it waits for its turn."""
    return round(100 * float(cache.get(_progress_key(still.pk), 0.0)))


def given_up(found: Iterable[Still]) -> set[int]:
    """Which of these stills nobody works on any more, by their ids: failed, or left after the last attempt. One query
    where one was asked for and isn't there."""
    listed = list(found)
    failed = {still.pk for still in listed if still.state == StillState.FAILED}
    asked = {_entry_key(still): still.pk for still in listed if still.state == StillState.ASKED}
    if not asked:
        return failed
    left = OutboxEntry.objects.filter(key__in=asked, failed_at__isnull=False).values_list("key", flat=True)
    return failed | {asked[key] for key in left}


def before(still: Still) -> int:
    """How many of the studio's own stills are made before this one. One query."""
    open_entries = OutboxEntry.objects.filter(task=TASK, done_at=None, failed_at=None)
    mine = open_entries.filter(key=_entry_key(still)).values("pk")[:1]
    return open_entries.filter(pk__lt=Subquery(mine)).count()


def render(still_id: int) -> None:
    """Render a still and keep it. The worker calls this; what is there already stays.

    The row is locked once the picture is there: whoever makes an offer of the same piece must not wait for it.
    """
    found = Still.objects.get(pk=still_id)
    if found.state == StillState.READY:
        return
    made: rendering.Rendered | None = None
    try:
        made = _rendered(found)
    except (rendering.NotRendered, DesignError, PhotoGone) as failure:
        entries.log.error("Still %s of studio %s failed: %s", found.pk, tenancy.current_studio_id(), failure)
    still = Still.objects.select_for_update(no_key=True).get(pk=still_id)
    if still.state != StillState.READY:
        _keep(still, made)


# Private


def _keep(still: Still, made: rendering.Rendered | None) -> None:
    """Keep what was made, or that nothing could be."""
    if made is None:
        still.state = StillState.FAILED
        still.save(update_fields=["state"])
        return
    still.large, still.small = (_stored(still, name, content) for name, content in _named(made))
    still.state, still.made_at = StillState.READY, timezone.now()
    still.save(update_fields=["large", "small", "state", "made_at"])


def _shown(piece: SetPiece) -> Shown:
    return Shown(
        piece.design,
        piece.still_room,
        piece.still_turn_deg,
        piece.quote_id,
        piece.room_x_m,
        piece.room_back_m,
    )


def _backdrop(shown: Shown, photos: Mapping[int, RoomPhoto]) -> Written | None:
    """The photo behind a piece that stands before one; None where there is none."""
    photo = photos.get(shown.quote_id) if shown.room == StillRoom.VENUE else None
    return venue.written(photo, shown.x_m, shown.back_m) if photo else None


def _key(shown: Shown, backdrop: Written | None) -> str:
    """The digest of the design, the room or the photo with its marks, and the angle."""
    facts = [RULES, shown.design, shown.room, shown.turn_deg, *([backdrop] if backdrop else [])]
    text = json.dumps(facts, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _rendered(still: Still) -> rendering.Rendered:
    """Render a still in its room, or before the photo that it was asked for with."""
    design = read_design(still.design)
    scene = scene_of(taken_off(design), fine=True)
    look, behind = Look(still.room, float(still.turn_deg)), None
    if still.backdrop is not None:
        photo = venue.pixels(still.backdrop)
        backdrop = venue.read(still.backdrop, light_in(photo))
        look = replace(look, backdrop=backdrop)
        behind = photo_pixels(photo, window_in_photo(scene, look, backdrop), look.width, look.height)
    files = still_files(scene, look, images.whole_prints(design))
    key = _progress_key(still.pk)
    return rendering.rendered(
        files, look, lambda share: cache.set(key, share, PROGRESS_SECONDS), behind=behind
    )


def _may_try_again(still: Still) -> bool:
    if still.tries >= MOST_TRIES or still.pk not in given_up([still]):
        return False
    still.tries += 1
    still.state = StillState.ASKED
    still.save(update_fields=["tries", "state"])
    return True


def _order(still: Still) -> None:
    entries.write(TASK, share=STILLS, key=_entry_key(still), still_id=still.pk)


def _entry_key(still: Still) -> str:
    """Under which its work is written down."""
    return f"still-{still.pk}-{still.tries}"


def _named(made: rendering.Rendered) -> tuple[tuple[str, bytes], ...]:
    return ("large", made.large), ("small", made.small)


def _stored(still: Still, size: str, content: bytes) -> StoredFile:
    return StoredFile.objects.create(
        name=f"still-{still.key[:16]}-{size}.jpg",
        media_type="image/jpeg",
        content=content,
        digest=hashlib.sha256(content).hexdigest(),
    )


def _progress_key(still_id: int) -> str:
    return f"{TASK}:{tenancy.current_studio_id()}:{still_id}"
