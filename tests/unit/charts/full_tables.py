"""Tables of a session in which there is something for every picture to show."""

import pandas as pd

from strapline.ground.tables.sessions import CONSEQUENCES, COURSES, EPISODES, OFFSETS, SENTENCES
from strapline.method.agreement.effort import EFFORT_BANDS


def episodes(aligned):
    """One kind after the other, some of a few seconds only."""
    start = aligned["time"].min()
    kinds = ("no_value", "follows_cadence", "stuck", "slow_to_follow", "spike", "reads_high")
    spans = [(kind, 20 + 30 * i, 32 + 30 * i) for i, kind in enumerate(kinds * 3)]
    return EPISODES.from_rows(
        [
            {
                "session": "s-1",
                "wearer": "w",
                "activity": "strength",
                "device": device,
                "recording": device,
                "kind": kind,
                "start": start + pd.Timedelta(seconds=first),
                "end": start + pd.Timedelta(seconds=last),
                "start_s": first,
                "end_s": last,
                "share": 0.02,
                "on_track_after_s": 0,
                "evidence": "told",
            }
            for device in ("watch-0", "watch-1")
            for kind, first, last in spans
        ]
    )


def sentences():
    """A title, a line and a course a device."""
    texts = {"title": "{} low", "line": "{} averaged 110.0 bpm.", "course": "It read low."}
    labels = {"watch-0": "Watch one", "watch-1": "Watch two"}
    return SENTENCES.from_rows(
        [
            {"session": "s-1", "device": d, "recording": d, "form": form, "place": 0}
            | {"text": text.format(label)}
            for d, label in labels.items()
            for form, text in texts.items()
        ]
    )


def courses():
    """Ten minutes, in which one device was off by 2 bpm and the other by 10, and late."""
    whose = {"session": "s-1", "wearer": "w", "activity": "strength"}
    none = {column.name: 0 for column in COURSES.columns if not column.nullable}
    return COURSES.from_rows(
        [
            none
            | whose
            | {"device": d, "recording": d, "length_s": 600, "error_bpm": error}
            | {"delay_s": late}
            for d, error, late in (("watch-0", 2.0, None), ("watch-1", 10.0, 12.0))
        ]
    )


def bands():
    """Ten hours in each band, an hour in a wrong one."""
    common = {"session": "s-1", "wearer": "w", "activity": "strength", "alignment": "settled"}
    values = {"reference_value": 600.0, "device_value": 599.9, "difference": -0.1, "unit": "min"}
    wrong = values | {"reference_value": 0.0, "device_value": 60.0, "difference": 60.0}
    quantities = [("wrong_band", None, wrong)]
    for band, bpm in zip(EFFORT_BANDS, (0.0, 107.2, 120.3, 144.8, 180.5), strict=True):
        quantities.append((f"band:{band}", bpm, values))
    return CONSEQUENCES.from_rows(
        [
            common
            | own
            | {"device": d, "recording": d, "quantity": name, "n": 180_000, "from_bpm": bpm}
            for d in ("watch-0", "watch-1")
            for name, bpm, own in quantities
        ]
    )


def offsets():
    """Least at no offset."""
    return OFFSETS.from_rows(
        [
            {"recording": d, "device": d, "offset_s": s, "mae": 3 + abs(s), "bias": 0.0, "n": 600}
            for d in ("watch-0", "watch-1")
            for s in range(-60, 61)
        ]
    )
