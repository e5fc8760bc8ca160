"""The stills worker's work with a stored picture in the renderer's place: ``python -m tests.browser.stored_still``.

It runs in a process of its own, under the settings of a product that has no renderer. It gives every still that was
asked for the picture; so it shows what becomes of a picture that is there, and nothing of how one is made.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Final

import django
from PIL import Image

STORED: Final = Path(__file__).resolve().parents[2] / "docs" / "pictures" / "table-garland.jpg"
STILL_FROM_PX: Final = 484
"""Where the right half of the stored picture begins."""


def stored() -> tuple[bytes, bytes]:
    """The picture and a smaller one, as JPEG."""
    with Image.open(STORED) as pair:
        still = pair.convert("RGB").crop((STILL_FROM_PX, 0, pair.width, pair.height))
    made = []
    for wide in (1600, 800):
        out = io.BytesIO()
        still.resize((wide, wide * 1250 // 1600)).save(out, "JPEG")
        made.append(out.getvalue())
    return made[0], made[1]


def main() -> None:
    """Every still of every studio that was asked for."""
    django.setup()
    from quoting.models import Still, StillState
    from quoting.offers import with_stills
    from quoting.stills import rendering, stills
    from studio import tenancy

    rendering.rendered = lambda *_, **__: rendering.Rendered(*stored())
    for studio_id, slug in tenancy.each_studio():
        with tenancy.entered(studio_id, slug=slug):
            for still in Still.objects.filter(state=StillState.ASKED):
                stills.render(still.pk)
                with_stills.renew_papers(still.pk)


if __name__ == "__main__":
    main()
