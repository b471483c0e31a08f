"""Make an inbox of the 105 real paired recordings in data/paired_beats.csv (see CREDIT.md).

    python tests/real/paired_beats.py <folder>

Writes <folder>/inbox with a session a recording, and <folder>/devices.yaml; run the workflow
over them with

    snakemake --config inbox=<folder>/inbox devices=<folder>/devices.yaml results=<folder>/results
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

SAMPLES_PER_SECOND = 250
TABLE = Path(__file__).parent / "data" / "paired_beats.csv"

CARD = """\
activity: {activity}
wearer: subject-{subject}
recordings:
  - {{file: cable.csv, device: cable, role: reference, placement: chest, clock: {cables}}}
  - {{file: chest_strap.csv, device: chest-strap, placement: chest, clock: {chest_strap}}}
"""
# The recordings carry no date. Both sides are stated to be on one clock, by which each began with
# its own first beat.
CLOCK = "{{starts_at: 2018-01-01T12:00:{:06.3f}Z}}"

DEVICES = """\
devices:
  cable: {label: Cable electrodes, kind: electrocardiogram}
  chest-strap: {label: Chest strap electrodes, kind: chest_strap}
"""


@dataclass(frozen=True)
class Beats:
    """When the beats of one recording were seen at one set of electrodes, in seconds."""

    subject: str
    activity: str
    electrodes: str
    seconds: np.ndarray


def recordings() -> Iterator[Beats]:
    for line in TABLE.read_text().splitlines()[1:]:
        subject, activity, electrodes, beats = line.split(",")
        seconds = np.array(beats.split(), dtype=float) / SAMPLES_PER_SECOND
        yield Beats(subject, activity, electrodes, seconds)


def write_inbox(folder: Path) -> None:
    firsts: dict[tuple[str, str], dict[str, str]] = {}
    for beats in recordings():
        session = folder / "inbox" / f"{beats.activity}-{beats.subject}"
        session.mkdir(parents=True, exist_ok=True)
        intervals = np.diff(beats.seconds) * 1000
        lines = [
            f"{end:.3f},{rr:.0f}" for end, rr in zip(beats.seconds[1:], intervals, strict=True)
        ]
        text = "\n".join(["elapsed_s,rr_ms", *lines]) + "\n"
        (session / f"{beats.electrodes}.csv").write_text(text)
        key = beats.activity, beats.subject
        firsts.setdefault(key, {})[beats.electrodes] = CLOCK.format(beats.seconds[0])
    for (activity, subject), clocks in firsts.items():
        card = CARD.format(
            activity=activity,
            subject=subject,
            cables=clocks["cable"],
            chest_strap=clocks["chest_strap"],
        )
        (folder / "inbox" / f"{activity}-{subject}" / "session.yaml").write_text(card)
    (folder / "devices.yaml").write_text(DEVICES)


if __name__ == "__main__":
    write_inbox(Path(sys.argv[1]))
