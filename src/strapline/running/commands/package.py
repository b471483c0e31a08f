"""Pack a session, with all that its figures rest on, into one zip file to hand over."""

from __future__ import annotations

import argparse

from strapline.ground.versions import told
from strapline.keeping.made_with import computed_with
from strapline.keeping.packaging.package import package, receipts_at, receipts_of, write_zip
from strapline.running.asked import session_of
from strapline.running.commands import bench
from strapline.running.lines import say
from strapline.running.run_lock import must_be_at_rest
from strapline.telling.publish.drawings import drawings_of

WITH_RAW = (
    "The raw exports are inside. They may hold positions and serial numbers: think before you "
    "pass them on."
)
WITHOUT_RAW = (
    "The raw exports were left out, so the figures can be checked but not computed again. Add "
    "--with-raw-files to put them in."
)


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help=bench.SESSION)
    parser.add_argument(
        "--with-raw-files",
        action="store_true",
        help="put the raw exports in; they may hold positions and serial numbers",
    )
    bench.describe(parser, bench.RESULTS, bench.INBOX)


def run(options: argparse.Namespace) -> int:
    """Write `packages/<session>.zip` under the results; DocumentError where that is not right."""
    places = bench.read(options).places
    must_be_at_rest(places.results)
    session = session_of(places.results, options.session)
    files = package(places, session, options.with_raw_files, drawings_of(places, session))
    path = places.results / "packages" / f"{session}.zip"
    write_zip(path, files)
    size = path.stat().st_size / 2**20
    receipts = receipts_at(receipts_of(places, session))
    say(
        [
            f"{path}: {len(files)} files, {size:.1f} MiB.",
            WITH_RAW if options.with_raw_files else WITHOUT_RAW,
            *told(computed_with(receipts)),
            "The card and intake.json inside say what you stated about the wearer.",
        ]
    )
    return 0
