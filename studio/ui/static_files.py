"""Static files under names that say their content."""

from __future__ import annotations

from typing import Final

from django.contrib.staticfiles.storage import HashedFilesMixin
from whitenoise.storage import CompressedManifestStaticFilesStorage

IMPORT_OF_OURS: Final = (
    r"""(?P<matched>import(?s:(?P<import>[\s\{].*?))\s*from\s*["'](?P<url>\.{1,2}/[./\w-]+\.js)["']\s*;)""",
    """import%(import)s from "%(url)s";""",
)


class StaticFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc] # without types
    """With imports between script modules rewritten too, so that a module is loaded once, and once only.

    Django's own switch for this also reads imports in the comments of other packages' scripts, and fails there:
    only relative imports that name a file are rewritten.
    """

    patterns = (*HashedFilesMixin.patterns, ("*.js", (IMPORT_OF_OURS,)))
