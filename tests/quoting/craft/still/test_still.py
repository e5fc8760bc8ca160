"""A still shows what the take-off counts, where it is."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.solid.scene import scene_of
from quoting.craft.still.backdrop import Backdrop
from quoting.craft.still.engine import engine_settings
from quoting.craft.still.paints import PLAIN, light_of
from quoting.craft.still.rooms import ROOMS
from quoting.craft.still.still import Look, bounds, still_files, turned_down_to
from quoting.craft.takeoff.takeoff import TakeOff, take_off

PLACE = re.compile(r"scene\.objects\.ball(\d+)\.transformation = (.+)")


@pytest.fixture(scope="module")
def takeoff() -> TakeOff:
    return take_off(load_design(STARTERS / "ring-half-moon.json"))


def test_every_balloon_of_the_bill_is_in_the_still_at_its_place_and_size(takeoff: TakeOff) -> None:
    found = PLACE.findall(still_files(scene_of(takeoff), Look()).text)
    balloons = takeoff.balloons
    assert len(found) == len(balloons) == sum(takeoff.counts.values())
    for number, written in found:
        place = np.array([float(value) for value in written.split()]).reshape(4, 4).T
        k = int(number)
        assert place[:3, 3] == pytest.approx([balloons.x[k], balloons.y[k], balloons.z[k]], abs=1e-4)
        assert np.cbrt(np.linalg.det(place[:3, :3])) == pytest.approx(balloons.radius[k], rel=1e-4)


def test_a_neck_points_where_the_scene_says() -> None:
    for way in ((0.0, -1.0, 0.0), (0.0, 1.0, 0.0), (0.6, 0.0, -0.8), (0.0, -0.6, 0.8)):
        turned = turned_down_to(way)
        assert turned @ np.array([0.0, -1.0, 0.0]) == pytest.approx(way)
        assert np.linalg.det(turned) == pytest.approx(1.0), "turned, not mirrored"


@pytest.mark.parametrize("room", ROOMS)
def test_all_that_an_object_names_was_written_before_it(takeoff: TakeOff, room: str) -> None:
    """A renderer reads from top to bottom: shapes, materials and textures come before what uses them."""
    known: set[str] = set()
    for line in still_files(scene_of(takeoff), Look(room, -20.0)).text.splitlines():
        name, value = line.split(" = ")
        _, kind, thing, key = (*name.split(".", 3), "")[:4]
        if kind == "objects" and key in ("shape", "material"):
            assert f"{key}s.{value.strip(chr(34))}" in known, line
        if kind in ("shapes", "materials"):
            known.add(f"{kind}.{thing}")


def test_the_same_scene_and_look_give_the_same_files(takeoff: TakeOff) -> None:
    first, second = (still_files(scene_of(takeoff), Look("garden", 15.0)) for _ in range(2))
    assert first == second
    assert first != still_files(scene_of(takeoff), Look("garden", 0.0))


def test_the_box_of_a_scene_holds_every_balloon(takeoff: TakeOff) -> None:
    low, high = bounds(scene_of(takeoff))
    balloons = takeoff.balloons
    assert low[0] <= (balloons.x - balloons.radius).min()
    assert high[1] >= (balloons.y + balloons.radius).max()


def test_a_still_is_rendered_a_little_larger_and_cut_to_its_size() -> None:
    text = engine_settings(Look(width=320, height=250), samples_aside=2)
    assert "film.width = 328" in text
    assert "film.height = 258" in text
    assert "tilepath.sampling.aa.size = 2" in text


def test_the_denoiser_is_told_the_colours_and_slopes_of_what_is_seen() -> None:
    """Without these two it takes edges for noise (manual of Open Image Denoise: auxiliary feature images)."""
    text = engine_settings(Look())
    assert '"ALBEDO"' in text
    assert '"AVG_SHADING_NORMAL"' in text


def test_what_is_within_a_clear_balloon_is_in_it() -> None:
    """A confetti balloon has its paper; a double-stuffed one has a balloon in the colour that the design names."""
    design = load_design(STARTERS / "ring-half-moon.json")
    first, second, *others = design.palette
    stuffed = replace(second, finish="double-stuffed", inner="plum", inner_name="Plum", inner_hex="#6B4257")
    palette = (replace(first, finish="confetti"), stuffed, *others)
    scene = scene_of(take_off(replace(design, palette=palette)))
    text = still_files(scene, Look()).text
    for number, ball in enumerate(scene.balls):
        shape = {0: '"flecks"', 1: '"balloon"'}.get(ball.colour)
        assert (f"scene.objects.within{number}.shape = {shape}" in text) == (shape is not None)
    (written,) = re.findall(r"scene\.materials\.paint1-inner\.kd = (.*)", text)
    plum = [share - PLAIN[0] for share in light_of("#6B4257")]
    assert [float(share) for share in written.split()] == pytest.approx(plum, abs=3e-3), (
        "a little goes through"
    )


def test_a_garden_is_out_of_focus_behind_the_piece_and_the_rooms_are_not(takeoff: TakeOff) -> None:
    scene = scene_of(takeoff)
    assert "camera.lensradius" in still_files(scene, Look("garden")).text
    assert "camera.lensradius" not in still_files(scene, Look("hall")).text


def test_five_thousand_balloons_share_one_mesh(takeoff: TakeOff) -> None:
    """A balloon more is a few lines more: what is written grows with the balloons, its meshes don't."""
    few = scene_of(takeoff)
    many = replace(few, balls=(few.balls * (5000 // len(few.balls) + 1))[:5000])
    first, second = (still_files(one, Look()) for one in (few, many))
    assert second.parts.keys() == first.parts.keys()
    assert second.text.count("scene.objects.ball") == 3 * 5000
    assert len(second.text) < 2_000_000


def test_before_a_photo_there_is_a_floor_to_catch_shadows_and_no_room() -> None:
    scene = scene_of(take_off(load_design(STARTERS / "classic-arch.json")))
    look = Look("venue", 15.0, backdrop=Backdrop(1600, 1200, 800.0, 500.0, 1.5, 4.0))
    files = still_files(scene, look)
    assert files == still_files(scene, look)
    assert "scene.objects.venue-floor.id = 1" in files.text
    of_the_room = {"backdrop.ply", "key.ply", "fill.ply"}
    assert of_the_room <= still_files(scene, Look("studio")).parts.keys()
    assert not of_the_room & files.parts.keys()
    assert files.text.count("scene.objects.ball") == 3 * len(scene.balls)
    assert "OBJECT_ID_MASK" in engine_settings(look)
    assert "OBJECT_ID_MASK" not in engine_settings(Look())
