"""Makes samples of stored documents and their facts with the product as it stands: ``python -m tests.stored.make v1``.

What was made once is frozen: a version that is there is refused, and another form of a document gets a new version.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Final

from studio.local.services import passing_services
from tests.services_plugin import SETTINGS

DATABASE: Final = "billowbook_stored"


def main(version: str) -> None:
    """Make a version of the samples that isn't there yet."""
    folder = Path(__file__).parent / version
    if folder.exists():
        sys.exit(f"{version} is frozen: its samples stand for what was stored then. Make the next version.")
    with _services():
        import django

        django.setup()
        _make(folder)


@contextmanager
def _services() -> Iterator[None]:
    with ExitStack() as running:
        os.environ.update(running.enter_context(passing_services()).environment())
        os.environ.update(SETTINGS)
        os.environ["DJANGO_SETTINGS_MODULE"] = "studio.settings"
        for name in ("MAIL_FOLDER", "STATIC_ROOT"):
            os.environ[name] = running.enter_context(tempfile.TemporaryDirectory())
        yield


def _make(folder: Path) -> None:
    import time_machine
    from django.db import transaction
    from django.test.utils import setup_test_environment

    from tests import database
    from tests.stored import making
    from tests.stored.documents import MOMENT, facts_beside, written
    from tests.stored.readers import read

    setup_test_environment()
    with time_machine.travel(MOMENT, tick=False):
        database.make(DATABASE)
        made = making.samples()
        database.drop(DATABASE)
        for name, sample in made.items():
            path = folder / f"{name}.json"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(written(sample), encoding="utf-8")
        database.make(DATABASE)
        for name in made:
            with transaction.atomic():
                facts = written(read(folder / f"{name}.json"))
                transaction.set_rollback(True)
            facts_beside(folder / f"{name}.json").write_text(facts, encoding="utf-8")
        database.drop(DATABASE)


if __name__ == "__main__":
    main(sys.argv[1])
