"""What a reader must know of a session: set aside, assumed or missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from strapline.ground.records.card import FILE_NAME, Card
from strapline.ground.records.intake import Notice, is_unknown
from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import NoticeKind
from strapline.ground.words import clock, counted, lasting
from strapline.reading.formats.identity import rule_of
from strapline.reading.session.clocks import marker_s
from strapline.reading.session.span import told

if TYPE_CHECKING:
    from strapline.ground.records.card import Recording
    from strapline.ground.records.stated import StatedIntake
    from strapline.reading.session.parsed import Candidate, ParsedExport

# No app has more values to show than columns as fine as this; and no plot is so many times as long
# as the strap's recording of the same session, or as short.
_FINEST_S, _FARTHEST = 0.2, 10.0
# A session is hardly so short: half an hour by times of day, 10:00 to 10:30, would be.
_BRIEFEST_S = 180.0


def of_set_aside(found: Iterable[Candidate], session_reason: str | None) -> Iterator[Notice]:
    if session_reason:
        yield Notice(kind=NoticeKind.SET_ASIDE, text=session_reason)
    yield from (_of(c, c.set_aside, NoticeKind.SET_ASIDE) for c in found if c.set_aside)


def of_devices(usable: Iterable[Candidate]) -> Iterator[Notice]:
    """What was said in reading each file, once, and what is known of its devices."""
    read: set[str] = set()
    for candidate in usable:
        export = candidate.export
        if export.file not in read:
            read.add(export.file)
            yield from (_of(candidate, said) for said in (*export.remarks, *_unread(export.unread)))
        if not candidate.registered:
            yield _of(candidate, _unknown_device(candidate))
        elif candidate.entry is None:
            yield _of(candidate, "Its device is recognised by config/devices.yaml.")


def _of(candidate: Candidate, text: str, kind: NoticeKind = NoticeKind.ASSUMED) -> Notice:
    return Notice(kind=kind, text=text, recording=candidate.recording)


def _unread(count: int) -> Iterator[str]:
    if count:
        what = "One column has a heading" if count == 1 else f"{count} columns have headings"
        yield f"{what} that Strapline does not know; type `strapline headings` to see what is left."


def _unknown_device(candidate: Candidate) -> str:
    identity, rule = candidate.export.identity, rule_of(candidate.export.identity)
    said = "It is from a device that config/devices.yaml does not know"
    if identity.unlisted and candidate.export.stream == FIRST_STREAM:
        maker, product = identity.unlisted
        said = f"{said}: maker {maker}, product {product} in the numbers of FIT"
    if rule is None or is_unknown(candidate.device):
        return f"{said}; name it there, with a rule by which its files are recognised."
    return (
        f"{said}. To name it, write there under 'devices': {candidate.device}: {{label: Its name, "
        f"kind: wrist, recognise: {rule}}}"
    )


def of_breaks(usable: Iterable[Candidate]) -> Iterator[Notice]:
    """Files that break off, once each."""
    told: set[str] = set()
    for candidate in usable:
        text, file = candidate.export.broken_off, candidate.export.file
        if text and file not in told:
            yield _of(candidate, text, NoticeKind.BROKEN_OFF)
        told.add(file)


def of_streams(found: Sequence[Candidate]) -> Iterator[Notice]:
    """Where the heart rates of a file are from that tells it, and how to say which is whose."""
    for candidate in found:
        told, entry = candidate.export.told, candidate.entry
        if told and candidate.set_aside is None and not (entry and entry.stream):
            held = sum(other.export.file == candidate.export.file for other in found)
            yield _of(
                candidate,
                f"Its file holds {counted(held, 'heart rate')}; this is stream {told.number}, "
                f"from {told.source}. A card gives it its device by stream: {told.number} beside "
                "the file.",
            )


def of_sensors(usable: Iterable[Candidate], reference: Candidate | None) -> Iterator[Notice]:
    """A word on each device under test that was connected to a heart-rate sensor.

    Being connected proves nothing: some watches list a sensor and go on with their own. Whether
    the recording is the reference's signal is found by comparing the two.
    """
    for candidate in usable:
        sensor, entry = candidate.export.external_sensor, candidate.entry
        is_tested = candidate is not reference and candidate.described.kind not in REFERENCE_KINDS
        if sensor and is_tested and not (entry and entry.own_sensor):
            yield _of(
                candidate,
                f"It lists {sensor}, so it may hold that sensor's heart rate. It is taken as the "
                "device's own unless it turns out to be a copy of the reference. If the device is "
                f"known to have used its own sensor, say own_sensor: true in {FILE_NAME}; next "
                "time, leave the strap unpaired.",
            )


def of_unstated(card: Card, activity: str | None) -> list[Notice]:
    """`activity`: what is said of it where the card does not state it."""
    texts = []
    if card == Card():
        texts.append(
            "The session has no card, so all of it is inferred; a draft to accept or correct "
            "lies beside its tables, as session.draft.yaml."
        )
    if card.wearer is None:
        texts.append(f"Nobody states the wearer; say it in {FILE_NAME}.")
    if activity is not None:
        texts.append(activity)
    return [Notice(kind=NoticeKind.ASSUMED, text=text) for text in texts]


def of_stated(stated: Iterable[StatedIntake]) -> list[Notice]:
    """Devices without an export of which the card states nothing that can be compared."""
    texts = [
        f"{FILE_NAME} states neither average_bpm nor maximum_bpm of {entry.device}, which has no "
        "export that can be used: nothing else can be compared with the strap, so add one of them."
        for entry in stated
        if not (entry.has_export or entry.stands_alone)
    ]
    return [Notice(kind=NoticeKind.SET_ASIDE, text=text) for text in texts]


def of_plots(usable: Iterable[Candidate], reference: Candidate | None) -> Iterator[Notice]:
    """Plots as long as no session is: very short, finer than any device measures, or far from the
    strap's."""
    strap_s = reference.export.length_s if reference else 0.0
    for candidate in usable:
        edges = candidate.entry.picture if candidate.entry else None
        found = candidate.export.resolution
        if edges and not found:
            yield _of(
                candidate,
                "The card says under 'picture' what a plot's edges stand for, but the file is no "
                "picture: that is not used. Take it out, or name the picture as 'file'.",
                NoticeKind.ASSUMED,
            )
        if not (edges and found):
            continue
        plot_s = edges.right - edges.left
        apart = max(plot_s, strap_s) > _FARTHEST * min(plot_s, strap_s) and strap_s
        if not (apart or found.column_s < _FINEST_S or plot_s < _BRIEFEST_S):
            continue
        beside = (
            f"and the strap's file lasts {lasting(strap_s)}"
            if apart
            else f"so each of its columns would be {found.column_s:.2f} s"
        )
        yield _of(
            candidate,
            f"The card has its plot go from {clock(edges.left)} to {clock(edges.right)}, "
            f"{lasting(plot_s)}, {beside}. Are 'left' and 'right' minutes and seconds from the "
            'start, and not times of day? Write an hour and 24 minutes as "1:24:00".',
            NoticeKind.CLOCK,
        )


def of_missing_files(
    exports: Sequence[ParsedExport], used: Sequence[Recording | None], card: Card
) -> list[Notice]:
    """Entries of the card, but for those `used`, that no file in the folder is for."""
    present = {export.file for export in exports}
    texts = []
    for entry in (entry for entry in card.recordings if entry.leave_out is None):
        if entry.file is None and entry not in used:
            texts.append(
                f"{FILE_NAME} lists {entry.device}, and no file is recognised as its export. Say "
                "there which file it is or, if it was not worn, delete its entry."
            )
        elif entry.file is not None and entry.file in present and entry not in used:
            count = sum(export.file == entry.file for export in exports)
            texts.append(
                f"{FILE_NAME} names stream {entry.stream} of the file for {entry.device}, which "
                f"holds {count}; correct the number."
            )
        elif entry.file is not None and entry.file not in present:
            texts.append(
                f"The file that {FILE_NAME} names for {entry.device} is not in the folder; correct "
                "the name or add the file."
            )
    return [Notice(kind=NoticeKind.SET_ASIDE, text=text) for text in texts]


def of_clocks(usable: Sequence[Candidate]) -> Iterator[Notice]:
    """Times whose unit the session's other files tell; then clocks that jumped, where what came
    before or after is used; then lap presses that the card names and the file does not have."""
    for candidate in usable:
        if unit := told(candidate, usable):
            yield _of(candidate, unit, NoticeKind.CLOCK)
    for candidate in usable:
        if (fault := candidate.export.clock_fault) and fault.kind == "jump":
            yield _of(candidate, f"{fault.what}.", NoticeKind.CLOCK)
    for candidate in usable:
        lap = candidate.entry.clock.lap if candidate.entry else None
        if lap and marker_s(candidate) is None:
            has = len(candidate.export.laps_s)
            said = f"The card marks lap press {lap} of its file, which has {has}"
            yield _of(candidate, f"{said}; the mark is not used.", NoticeKind.CLOCK)
