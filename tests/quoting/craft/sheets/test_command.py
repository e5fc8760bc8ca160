"""The command that works out a design file on a terminal."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

import quoting
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.sheets.command import run
from quoting.craft.sheets.report import report_json
from quoting.craft.solid.glb import glb
from quoting.craft.solid.scene import scene_of
from tests.quoting.craft.starter_designs import FOLDER, worked

ARCH = str(FOLDER / "classic-arch.json")
Output = pytest.CaptureFixture[str]


def test_it_prints_what_the_functions_give(capsys: Output) -> None:
    assert run([ARCH, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == json.loads(json.dumps(report_json(worked("classic-arch"))))


def test_it_writes_the_picture(tmp_path: Path, capsys: Output) -> None:
    target = tmp_path / "arch.svg"
    assert run([ARCH, "--svg", str(target)]) == 0
    assert target.read_text(encoding="utf-8") == elevation_svg(
        worked("classic-arch"), person=True, dimensions=True
    )
    assert str(target) in capsys.readouterr().out


def test_the_model_is_written_as_a_binary_gltf_file(tmp_path: Path) -> None:
    target = tmp_path / "arch.glb"
    assert run([ARCH, "--glb", str(target)]) == 0
    assert target.read_bytes() == glb(scene_of(worked("classic-arch")))


def test_it_prints_text_by_default(capsys: Output) -> None:
    assert run([str(FOLDER / "terrace-frame-bouquets.json")]) == 0
    printed = capsys.readouterr().out
    for words in ("Bill, spares included", "Labor", "Wind: comes down at", "Helium:", "Caution:"):
        assert words in printed


def test_it_says_how_full_a_piece_is_how_full_it_was_to_be_and_how_full_it_gets(
    tmp_path: Path, capsys: Output
) -> None:
    asking = tmp_path / "asking.json"
    for asked, words in (
        (0.5, "50 % full (50 % asked), at most 95 %"),
        (0.97, "95 % full (97 % asked), at most 95 %"),
    ):
        data = json.loads((FOLDER / "ring-and-panel.json").read_text(encoding="utf-8"))
        data["garlands"][0]["fullness"] = asked
        asking.write_text(json.dumps(data), encoding="utf-8")
        assert run([str(asking)]) == 0
        printed = capsys.readouterr().out
        assert words in printed
        assert printed.count(words.partition(",")[0]) == 2, "the garland of the build sheet says it too"
    assert run([ARCH]) == 0
    assert "% full" not in capsys.readouterr().out, "classic work is packed"


def test_faults_are_told_each_on_its_line_and_end_with_one(tmp_path: Path, capsys: Output) -> None:
    broken = tmp_path / "broken.json"
    broken.write_text('{"version": 1, "name": "x", "loss": 3}', encoding="utf-8")
    assert run([str(broken)]) == 1
    shown = capsys.readouterr()
    assert shown.out == ""
    first, *faults = shown.err.splitlines()
    assert first == "broken.json cannot be worked out:"
    assert faults[0].startswith("palette: is missing")
    assert "loss: is 3; allowed is 0 to 0.5" in faults


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nothing.json"], "nothing.json: cannot be read: No such file or directory."),
        (["."], ".: cannot be read: Is a directory."),
        (
            [ARCH, "--svg", "nowhere/arch.svg"],
            "nowhere/arch.svg: cannot be written: No such file or directory.",
        ),
    ],
)
def test_a_file_that_cannot_be_read_or_written_ends_with_two(
    arguments: list[str], words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(arguments) == 2
    assert capsys.readouterr().err.strip() == words


def test_it_needs_no_settings_and_no_database() -> None:
    """In an environment of its own, with no variable set."""
    home = Path(quoting.__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "manage.py", "takeoff", ARCH],
        cwd=home,
        env={},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Classic banded arch")


def test_a_command_given_wrongly_ends_with_two(capsys: Output) -> None:
    with pytest.raises(SystemExit) as ended:
        run([ARCH, "--text", "--json"])
    assert ended.value.code == 2
    assert "not allowed with argument" in capsys.readouterr().err
