"""Prepare the next session: make its folder and card, and print a checklist.

Without an activity it is the session that the plan puts next. Nothing is written over.
"""

import argparse
import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.files import write_text
from strapline.ground.records.card import FILE_NAME
from strapline.ground.records.register import Register
from strapline.ground.report_files import SHEET_PAGE
from strapline.ground.vocabulary import UNSTATED, SensorKind
from strapline.ground.words import listed, plain
from strapline.method.planning import protocol, wording
from strapline.method.planning.outlook import Outlook
from strapline.method.planning.prepared import Carried, card_text, carried, folder_name, word_of
from strapline.method.planning.schedule import Outing
from strapline.running.asked import among, did_you_mean
from strapline.running.commands import bench
from strapline.running.first_day import SET_ZONE, is_unset
from strapline.running.lines import say
from strapline.running.machine import told


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "activity", nargs="?", help="such as intervals; by default what the plan puts next"
    )
    parser.add_argument("--wearer", help="who wears the devices; by default as planned")
    parser.add_argument("--left", metavar="DEVICE", help="on the left wrist; by default as planned")
    parser.add_argument(
        "--right", metavar="DEVICE", help="on the right wrist; by default as planned"
    )
    parser.add_argument(
        "--date", type=_date, default=None, metavar="YYYY-MM-DD", help="by default today"
    )
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    outing = _outing(options, own.outlook(), own.register)
    inbox = own.inbox
    taken = [entry.name for entry in inbox.iterdir()] if inbox.is_dir() else []
    folder = inbox / folder_name(options.date or dt.date.today(), outing, taken)
    before = carried(own.recorded.in_order, outing.wearer)
    _prepare(folder, card_text(outing, own.register, before))
    card = f"The card is {folder / FILE_NAME}. After the session, put the exports beside it."
    say((card, *_remarks(outing, own), *_carried(outing, before, own.labels)))
    print(f"{wording.worn(outing, own.labels)}.")
    sheet = own.results / "report" / SHEET_PAGE
    if len(own.sessions) and sheet.exists():
        print(f"What to do before, during and after it: {sheet}")
    else:
        _say_all(own)
    say([protocol.CAUTION])
    return 0


def _say_all(own: bench.Bench) -> None:
    """The checklist; who has sessions knows it."""
    for heading, points in protocol.protocol(own.settings.claims):
        print(f"\n{heading}")
        say((f"[ ] {point}" for point in points), indent=2)
    rest = f"{protocol.STATEMENT_IN_FULL}. The rest is common practice."
    print()
    say([rest])


def _prepare(folder: Path, card: str) -> None:
    """Make the folder with its card, or neither. Raises DocumentError."""
    try:
        folder.mkdir(parents=True)
        try:
            write_text(folder / FILE_NAME, card)
        except OSError:
            folder.rmdir()
            raise
    except OSError as error:
        if told(error):
            raise
        raise DocumentError(f"{folder}: cannot be made ({error.strerror}).") from error


def _outing(options: argparse.Namespace, ahead: Outlook, register: Register) -> Outing:
    """As planned, with what the tester says instead. Raises DocumentError."""
    activity = word_of(options.activity, "activity") if options.activity else None
    planned = [o for o in ahead.outings if activity in (None, o.activity)]
    if not register.tested:
        raise DocumentError(wording.NO_DEVICE)
    if not planned and activity is None:
        raise DocumentError("Nothing is planned. Name an activity, for example: strapline new run")
    outing = planned[0] if planned else _unplanned(str(activity), ahead)
    outing = replace(
        outing,
        left=options.left or outing.left,
        right=options.right or outing.right,
        wearer=word_of(options.wearer, "wearer") if options.wearer else outing.wearer,
    )
    for device in outing.on_wrists:
        kinds = register.kinds_tested.items()
        among("device for a wrist", device, [n for n, k in kinds if k == SensorKind.WRIST])
    if outing.left and outing.left == outing.right:
        raise DocumentError("Name a different device for each wrist: --left and --right.")
    return outing


def _unplanned(activity: str, ahead: Outlook) -> Outing:
    """A session the plan does not ask for: the devices that it starts with."""
    left, right, *_ = [*ahead.wanted.on_wrists, None, None]
    elsewhere = tuple((device, places[0]) for device, places in ahead.wanted.elsewhere.items())
    return Outing(activity, next(iter(ahead.wanted.wearers), ""), left, right, elsewhere)


def _remarks(outing: Outing, own: bench.Bench) -> Iterator[str]:
    """On an activity or a wearer without a session so far: it may be the first, or mistyped. And on
    the time zone, while it is not too late."""
    zone = own.settings.clock.time_zone
    if own.sessions.empty and is_unset(zone):
        yield f"{SET_ZONE} Now it is {zone}."
    wearers = {*own.sessions["wearer"].map(str), *own.settings.plan.wearers} - {UNSTATED}
    for kind, name, known in (
        ("activity", outing.activity, {*own.activities, *own.settings.plan.activities}),
        ("wearer", outing.wearer, wearers),
    ):
        if name and known and name not in known:
            yield f"This is the first session of the {kind} '{name}'.{did_you_mean(name, known)}"


def _carried(outing: Outing, before: Carried, labels: dict[str, str]) -> Iterator[str]:
    """What the card says because an earlier one did."""
    held = [
        f"firmware {plain(before.firmware[device])} of {wording.name_of(device, labels)}"
        for device in outing.worn
        if device in before.firmware
    ]
    held += [f"{name} {plain(str(value))}" for name, value in before.staying.items()]
    if held:
        yield f"As last time: {listed(held)}. If that has changed, correct the card."


def _date(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date such as 2026-03-02") from None
