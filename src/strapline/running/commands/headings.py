"""List the headings in your exports that Strapline does not know, with where to write them.

Without names it looks at every file in the inbox, and shows those of which something is left.
"""

import argparse
from collections.abc import Iterator
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.settings import HeadingWords
from strapline.ground.words import listed, plain
from strapline.reading.formats import UnreadableExport, read_headings
from strapline.reading.formats.headings import Headings, shipped
from strapline.running.commands import bench
from strapline.running.lines import say


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "files", nargs="*", metavar="file", help="a table; all that it has is shown"
    )
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    words = shipped().and_more(own.settings.headings.model_dump())
    if options.files:
        shown = [block for name in options.files for block in _block(Path(name), words, True)]
    else:
        paths = [path for session in own.read_inbox().sessions.values() for path in session.exports]
        shown = [block for path in paths for block in _block(path, words, False)]
    print("\n".join(shown) or "Strapline knows every heading in your exports.")
    if shown:
        meanings = listed(list(HeadingWords.model_fields))
        print()
        how = (
            f"To have one read, write it under headings in {own.settings_file}, as it stands in "
            f"the file, beside what it means: {meanings}."
        )
        say([how])
    return 0


def _block(path: Path, words: Headings, is_asked_for: bool) -> Iterator[str]:
    """The headings of one file; nothing where it has none, or none is left and it was not asked
    for."""
    try:
        found = read_headings(path, words)
    except UnreadableExport as reason:
        if is_asked_for:
            raise DocumentError(f"{plain(str(path))}: {reason}") from None
        return
    if is_asked_for and not found:
        yield f"{plain(str(path))} has no headings."
    left = [plain(name) for name, meaning in found if meaning is None]
    if left or (is_asked_for and found):
        yield f"{plain(str(path))}"
        yield from (f"  {meaning}: {plain(name)}" for name, meaning in found if meaning)
        yield from (f"  not known: {name}" for name in left)
