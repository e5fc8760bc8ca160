"""The picture of the table shows the room as the piece stands in it."""

from __future__ import annotations

import pytest

from quoting.craft.picture.view import PX_PER_M
from quoting.craft.table.shelf import Shelf
from quoting.drawing_table.scene import scene_of
from tests.quoting.craft.table.tables import LOW, done, table


def test_a_backdrop_stands_before_the_wall_behind() -> None:
    bare = table(LOW)
    assert scene_of(bare, None, "feet", Shelf()).wall / PX_PER_M == pytest.approx(
        LOW.z_m - bare.site.wall_gap_m
    )
    hung = done(bare, "put-prop", look="backdrop").design
    (backdrop,) = hung.props
    wall = scene_of(hung, None, "feet", Shelf()).wall / PX_PER_M
    assert wall == pytest.approx(backdrop.z_m - backdrop.depth_m / 2)
    assert wall < LOW.z_m - bare.site.wall_gap_m
