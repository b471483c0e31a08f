"""List the devices in your exports that config/devices.yaml does not know yet.

Each comes with an entry to paste, or to have written; look at the labels and kinds.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path

from strapline.ground.documents import DocumentError, load
from strapline.ground.files import write_text
from strapline.ground.records.register import Register
from strapline.ground.records.register_text import entries, with_devices
from strapline.ground.words import counted, plain
from strapline.reading.inbox.readable import first_of
from strapline.reading.session.unregistered import Seen, unregistered
from strapline.running.commands import bench


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--write", action="store_true", help="write them into config/devices.yaml")
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    inbox = own.read_inbox()
    seen, untold = unregistered(inbox.sessions.values(), own.register)
    if not inbox.sessions:
        print(f"{own.inbox}/ holds no exports yet.")
    elif not seen and not untold:
        print(f"{own.devices_file} knows every device in your exports.")
    if seen:
        _tell(seen, own.devices_file, options.write)
    if untold:
        print("\nWhich device these are from cannot be told; name it in the session's card:")
        print(f"  {plain(first_of(untold))}")
    return 0


def _tell(seen: Sequence[Seen], place: Path, write: bool) -> None:
    devices = {each.name: each.device for each in seen}
    for each in seen:
        print(f"{each.name}: {counted(len(each.files), 'file')}, {plain(first_of(each.files))}")
    if write:
        _write(place, with_devices(place.read_text("utf-8-sig"), devices))
        print(f"\nWritten into {place}. Correct labels and kinds there:\n")
    else:
        print(f"\nTo paste into {place} below devices:, or to have written by --write:\n")
    print(entries(devices), end="")


def _write(place: Path, text: str) -> None:
    """Only where it can be read again: the old register is better than a broken one."""
    beside = place.with_name(f".{place.name}.new")
    write_text(beside, text)
    try:
        _must_be_a_register(beside)
        beside.replace(place)
    finally:
        beside.unlink(missing_ok=True)


def _must_be_a_register(path: Path) -> Register:
    try:
        return load(path, Register)
    except DocumentError as error:
        raise DocumentError(
            "Nothing was written, since the entries do not fit:", *error.mistakes
        ) from None
