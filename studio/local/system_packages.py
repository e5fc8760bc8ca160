"""What must come from the system's own packages: WeasyPrint's libraries, the tests' browser, Node.js for scripts."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from studio.local.errors import LocalError

Progress = Callable[[str], None]

# The libraries that WeasyPrint loads, by the names they have on Linux.
PDF_LIBRARIES = (
    "libgobject-2.0.so.0",
    "libpango-1.0.so.0",
    "libpangoft2-1.0.so.0",
    "libharfbuzz.so.0",
    "libharfbuzz-subset.so.0",
    "libfontconfig.so.1",
)
PDF_PACKAGES = ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0", "fontconfig")
# Letters for names in any script, by samples of what each package brings; without them a PDF shows empty boxes.
SCRIPTS = {
    "fonts-noto-core": ("αб", "م", "א", "ա", "ა", "अ", "ก"),
    "fonts-wqy-microhei": ("言们龍", "か", "한국"),
}
# Playwright drives the browser from a Node.js of its own, which wants this library beside the usual ones.
DRIVER_LIBRARIES = ("libatomic.so.1",)
DRIVER_PACKAGES = ("libatomic1",)
# The oldest Node.js that runs the tests of the scripts and their linters; Debian 12 has it.
NODE_OLDEST = (18, 18)
# The first has no window to draw, so journeys take half the processor time of a whole Chromium.
BROWSERS = (
    "chromium-headless-shell", "chromium", "chromium-browser", "google-chrome", "google-chrome-stable",
)  # fmt: skip


def bring_pdf_libraries(progress: Progress) -> None:
    """See to it that WeasyPrint can load its libraries and finds letters for any script.

    Raises LocalError, saying exactly what to install, where we may not install it ourselves.
    """
    if sys.platform != "linux":
        if subprocess.run(
            [sys.executable, "-c", "import weasyprint"], capture_output=True, check=False
        ).returncode:
            raise LocalError("WeasyPrint lacks its libraries. On macOS: brew install pango")
        return
    _bring_libraries(PDF_LIBRARIES, PDF_PACKAGES, "Installing Pango for the PDF pages", progress)
    if packages := lacking_fonts():
        install(
            ["fontconfig", *packages],
            reason="Installing letters of more scripts for the PDF pages",
            progress=progress,
        )


def lacking_fonts() -> list[str]:
    """The packages of fonts that bring a script for which the system has no font yet."""
    return [
        package for package, samples in SCRIPTS.items() if not all(_has_font(letters) for letters in samples)
    ]


def missing_libraries(names: Sequence[str] = PDF_LIBRARIES) -> list[str]:
    """Those of the libraries (WeasyPrint's, unless others are named) that do not load."""
    missing = []
    for name in names:
        try:
            ctypes.CDLL(name)
        except OSError:
            missing.append(name)
    return missing


def bring_browser(progress: Progress) -> None:
    """See to it that the tests find a Chromium, the system's, else one that Playwright fetches, and can drive it."""
    if sys.platform == "linux":
        _bring_libraries(
            DRIVER_LIBRARIES, DRIVER_PACKAGES, "Installing what drives the tests' browser", progress
        )
    if browser() is not None:
        return
    if distribution() == "debian":
        install([BROWSERS[0]], reason="Installing Chromium for the tests", progress=progress)
        return
    progress("Fetching Chromium for the tests")
    needs = ["--with-deps"] if sys.platform == "linux" and os.geteuid() == 0 else []
    subprocess.run([sys.executable, "-m", "playwright", "install", *needs, "chromium"], check=True)


def bring_node(progress: Progress, *, npm: bool = False) -> None:
    """See to it that Node.js is there for the tests of the scripts, and npm for their linters where it is asked for.

    Raises LocalError where what is there is too old.
    """
    wanted = {"node": "nodejs", **({"npm": "npm"} if npm else {})}
    missing = [package for program, package in wanted.items() if shutil.which(program) is None]
    if missing:
        install(missing, reason="Installing Node.js for the scripts", progress=progress)
    found = node_version()
    if found < NODE_OLDEST:
        oldest, said = (".".join(map(str, version)) for version in (NODE_OLDEST, found))
        raise LocalError(f"The scripts' tests and linters need Node.js {oldest} or newer; this is {said}.")


def node_version() -> tuple[int, ...]:
    """The version of the Node.js on the PATH, as (20, 19, 4)."""
    told = subprocess.run(["node", "--version"], capture_output=True, text=True, check=True).stdout
    return tuple(int(part) for part in told.strip().removeprefix("v").split("-")[0].split("."))


def browser() -> str | None:
    """The path of the system's Chromium; None leaves the choice to Playwright."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


def distribution() -> str:
    """The ID of /etc/os-release, such as debian or ubuntu; nothing elsewhere."""
    release = Path("/etc/os-release")
    if not release.exists():
        return ""
    fields = dict(
        line.split("=", 1) for line in release.read_text(encoding="utf-8").splitlines() if "=" in line
    )
    return fields.get("ID", "").strip('"')


def install(packages: Sequence[str], *, reason: str, progress: Progress) -> None:
    """Install Debian packages, as root or through sudo."""
    wish = f"apt-get update && apt-get install -y --no-install-recommends {' '.join(packages)}"
    prefix = root_prefix()
    if shutil.which("apt-get") is None or prefix is None:
        raise LocalError(
            f"Please install these packages and try again: {', '.join(packages)}\n"
            f"On Debian or Ubuntu, as root: {wish}"
        )
    progress(f"{reason}: {' '.join(packages)}")
    quiet = [*prefix, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-q", "-y"]
    for step in (["update"], ["install", "--no-install-recommends", *packages]):
        answer = subprocess.run([*quiet, *step], capture_output=True, text=True, check=False)
        if answer.returncode:
            raise LocalError(
                f"`apt-get {' '.join(step)}` failed:\n{answer.stdout[-2000:]}{answer.stderr[-2000:]}"
            )


def root_prefix() -> list[str] | None:
    """How to run a command as root: as it is, through sudo, or (None) not at all."""
    if os.geteuid() == 0:
        return []
    if shutil.which("sudo") is None:
        return None
    silently = subprocess.run(["sudo", "-n", "true"], capture_output=True, check=False).returncode == 0
    if silently:
        return ["sudo", "-n"]
    return ["sudo"] if sys.stdin.isatty() else None


# Private


def _has_font(letters: str) -> bool:
    """Whether fontconfig is there and knows a font that has all of the letters."""
    if shutil.which("fc-list") is None:
        return False
    wanted = ":charset=" + " ".join(f"{ord(letter):x}" for letter in letters)
    return bool(subprocess.run(["fc-list", wanted], capture_output=True, check=True).stdout)


def _bring_libraries(names: Sequence[str], packages: Sequence[str], reason: str, progress: Progress) -> None:
    if not missing_libraries(names):
        return
    install(packages, reason=reason, progress=progress)
    still = missing_libraries(names)
    if still:
        raise LocalError(f"These libraries are still missing after the installation: {', '.join(still)}")
