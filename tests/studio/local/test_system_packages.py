"""What is brought from the system's packages, and what is said where that fails."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import sys

import pytest

from studio.local import system_packages
from studio.local.errors import LocalError


@pytest.fixture(autouse=True)
def _on_linux(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only Linux has these packages; what is done there is tried everywhere."""
    monkeypatch.setattr(sys, "platform", "linux")


def test_a_library_that_the_browsers_driver_lacks_is_installed_before_the_browser(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    installed: list[str] = []
    lacking = {"libatomic.so.1"}

    def load(name: str) -> None:
        if name in lacking:
            raise OSError(name)

    def install(packages: list[str], **_said: object) -> None:
        installed.extend(packages)
        lacking.clear()

    monkeypatch.setattr(ctypes, "CDLL", load)
    monkeypatch.setattr(system_packages, "install", install)
    monkeypatch.setattr(system_packages, "browser", lambda: None)
    monkeypatch.setattr(system_packages, "distribution", lambda: "debian")
    system_packages.bring_browser(print)
    assert installed == ["libatomic1", "chromium-headless-shell"]


@pytest.mark.parametrize(
    ("there", "taken"),
    [
        ({"chromium", "chromium-headless-shell"}, "chromium-headless-shell"),
        ({"chromium", "google-chrome"}, "chromium"),
        (set(), None),
    ],
)
def test_the_chromium_without_windows_is_preferred_and_any_other_serves(
    monkeypatch: pytest.MonkeyPatch, there: set[str], taken: str | None
) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: name if name in there else None)
    assert system_packages.browser() == taken


def test_a_library_that_is_still_missing_after_its_installation_is_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(system_packages, "PDF_LIBRARIES", ("libnothing-has-this-name.so.9",))
    monkeypatch.setattr(system_packages, "install", lambda packages, **_said: None)
    with pytest.raises(LocalError, match=r"still missing after the installation: libnothing-has-this-name"):
        system_packages.bring_pdf_libraries(print)


def test_scripts_without_a_font_are_brought_with_their_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    installed: list[str] = []
    monkeypatch.setattr(system_packages, "missing_libraries", lambda names: [])
    monkeypatch.setattr(system_packages, "_has_font", lambda letters: letters != "か")
    monkeypatch.setattr(system_packages, "install", lambda packages, **_said: installed.extend(packages))
    system_packages.bring_pdf_libraries(print)
    assert installed == ["fontconfig", "fonts-wqy-microhei"]


def _node(monkeypatch: pytest.MonkeyPatch, *, there: set[str], version: tuple[int, ...]) -> list[str]:
    installed: list[str] = []
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}" if name in there else None)
    monkeypatch.setattr(system_packages, "install", lambda packages, **_said: installed.extend(packages))
    monkeypatch.setattr(system_packages, "node_version", lambda: version)
    return installed


@pytest.mark.parametrize(
    ("there", "npm", "expected"),
    [
        (set(), False, ["nodejs"]),
        (set(), True, ["nodejs", "npm"]),
        ({"node"}, False, []),
        ({"node"}, True, ["npm"]),
        ({"node", "npm"}, True, []),
    ],
)
def test_node_and_npm_are_installed_where_they_are_missing(
    monkeypatch: pytest.MonkeyPatch, there: set[str], npm: bool, expected: list[str]
) -> None:
    installed = _node(monkeypatch, there=there, version=(18, 20, 4))
    system_packages.bring_node(print, npm=npm)
    assert installed == expected


def test_a_node_that_is_too_old_is_said_to_be(monkeypatch: pytest.MonkeyPatch) -> None:
    _node(monkeypatch, there={"node"}, version=(18, 17, 1))
    with pytest.raises(LocalError, match=r"need Node\.js 18\.18 or newer; this is 18\.17\.1\."):
        system_packages.bring_node(print)


@pytest.mark.parametrize(
    ("told", "version"), [("v18.20.4\n", (18, 20, 4)), ("v23.0.0-nightly\n", (23, 0, 0))]
)
def test_the_version_of_node_is_read(
    monkeypatch: pytest.MonkeyPatch, told: str, version: tuple[int, ...]
) -> None:
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: subprocess.CompletedProcess([], 0, told, ""))
    assert system_packages.node_version() == version
