"""Pictures with printed covers: where their images are found. Without one, or with one that the studio doesn't have,
the cover is plain.

A picture on the studio's pages names the image by its address; one that leaves them (an offer, a PDF, a file) has a
small copy inside, so that it stands on its own.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Sequence
from typing import Final

from quoting.craft.design.prints import MARK
from quoting.craft.design.records import CarriedImage
from quoting.models import PrintImage
from quoting.prints import images
from studio.tenancy import links

IMAGE: Final = re.compile(rf'(<image [^>]*href=")(?:{MARK}|[^":]*/prints/)([0-9a-f]{{64}})(?:\.jpg)?("/>)')
"""An image of a printed cover, marked or with its address."""
HEAD: Final = "data:image/jpeg;base64,"


def linked(svg: str) -> str:
    """The picture for a page of the studio. One query where it has a printed cover."""
    return _with(svg, lambda image: links.to("quoting:print-image", image.digest))


def on_its_own(svg: str) -> str:
    """The picture with small copies inside. One query where it has a printed cover."""
    return _with(svg, lambda image: HEAD + base64.b64encode(bytes(image.small.content)).decode())


def from_file(svg: str, carried: Sequence[CarriedImage]) -> str:
    """The picture of a design out of a file, the images that came along with it inside. No query."""
    inside = {one.digest: HEAD + one.jpeg for one in carried}
    return IMAGE.sub(
        lambda found: f"{found[1]}{inside[found[2]]}{found[3]}" if found[2] in inside else found[0], svg
    )


# Private


def _with(svg: str, address: Callable[[PrintImage], str]) -> str:
    known = images.known(digest for _, digest, _ in IMAGE.findall(svg))

    def placed(found: re.Match[str]) -> str:
        image = known.get(found[2])
        return f"{found[1]}{address(image)}{found[3]}" if image else ""

    return IMAGE.sub(placed, svg)
