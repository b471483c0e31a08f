"""What was in the inbox and no longer is.

A disk that is not mounted leaves an empty folder or none. Taken for sessions that were deleted, it
would empty the archive.
"""

import os
import shlex
from collections.abc import Collection, Sequence
from contextlib import suppress
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from strapline.ground.documents import DocumentError
from strapline.keeping.receipts import Places
from strapline.reading.inbox.note import make_inbox
from strapline.running.snakemake_hooks.asked import with_config

FIRST_INBOX = Path("inbox")
# What the tester says of devices and people lies beside inbox and results, wherever the code is.
OWN_CONFIG = Path("config")

# So few may be renamed or taken out unasked, as long as anything is left.
FEW = 2


def make_the_first(places: Places) -> None:
    """Make the inbox of a copy that has neither one nor results. One that is called otherwise is
    not made: its name may be mistyped."""
    is_first = not any((places.results / name).exists() for name in ("archive", "editions"))
    if is_first and places.inbox == FIRST_INBOX and not os.path.lexists(FIRST_INBOX):
        # What is in the way is told by what reads the inbox next.
        with suppress(OSError):
            make_inbox(FIRST_INBOX)


def must_have_own_config(root: Path) -> None:
    """Raises DocumentError where a workflow is run elsewhere than in its own folder, `root`, and no
    settings lie there."""
    if not (OWN_CONFIG / "settings.yaml").exists():
        copy = shlex.join(["cp", "-r", str(root / OWN_CONFIG), "."])
        raise DocumentError(
            "There is no config/settings.yaml in this folder, where you say what is yours. To "
            f"begin with what Strapline came with, type `{copy}`."
        )


def must_be_there(places: Places) -> None:
    """Raises DocumentError if there is no inbox, or it cannot be listed."""
    inbox = places.inbox
    try:
        os.scandir(inbox).close()
    except FileNotFoundError:
        if (places.results / "archive").exists():
            remedy = "Is its disk mounted, and its name right? Nothing was changed."
        else:
            remedy = "Make it, with a folder in it for each session, and type `snakemake` again."
        raise DocumentError(f"There is no folder {inbox}/. {remedy}") from None
    except NotADirectoryError:
        sentence = f"{inbox} is a file; the inbox must be a folder. Nothing was changed."
        raise DocumentError(sentence) from None
    except OSError as error:
        sentence = f"The folder {inbox}/ cannot be read ({error.strerror}). Nothing was changed."
        raise DocumentError(sentence) from None


def must_hold_most(there: Collection[str], known: Collection[str], words: Sequence[str]) -> None:
    """Raises DocumentError if more than half of the `known` sessions are not `there` any more.

    `words` are those of the command that began the run, which is told with what allows it.
    """
    gone = len(set(known) - set(there))
    asks = gone > FEW or not there
    if asks and 2 * gone > len(known):
        raise DocumentError(
            f"{gone} of the {len(known)} sessions in the report are no longer in the inbox. "
            "If their disk is not mounted, mount it. If you took them out on purpose, type "
            f"`{shlex.join(['snakemake', *with_config(words, 'gone=yes')])}`. Nothing was "
            "changed."
        )


def known_sessions(results: Path) -> dict[str, str]:
    """The sessions that the report was last made of, with the names of their folders."""
    return dict(zip(*_columns(results, "session", "title"), strict=True))


def known_activities(results: Path) -> set[str]:
    """Those of the sessions that the report was last made of."""
    return {str(name) for name in _columns(results, "activity")[0]}


def _columns(results: Path, *names: str) -> list[list[str]]:
    """Of the archive's table of sessions; empty ones where there is none."""
    try:
        table = pq.read_table(results / "archive" / "sessions.parquet", columns=[*names])
    except (OSError, pa.ArrowException):
        return [[] for _ in names]
    return [column.to_pylist() for column in table.columns]
