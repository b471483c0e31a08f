"""An archive's METRICS from figures a session and device."""

import pandas as pd

from strapline.ground.tables.sessions import METRICS


def archive(*sessions):
    """A session: its figures, and whatever else of METRICS is not as here."""
    rows = []
    for place, given in enumerate(sessions):
        names = {
            "session": f"s-{place:03}",
            "wearer": "ada",
            "activity": "run",
            "device": "watch",
            "scope": "whole",
            "alignment": "settled",
            "n": 1800,
            "unit": "bpm",
        }
        names |= {key: value for key, value in given.items() if key in METRICS.column_names}
        names = {"recording": names["device"]} | names
        figures = {key: value for key, value in given.items() if key not in names}
        rows += [names | {"metric": m, "value": value} for m, value in figures.items()]
        if "effective_n" not in figures:
            # Without it a session does not count.
            whole = {"scope": "whole", "metric": "effective_n", "value": 60.0}
            rows.append(names | whole)
    return METRICS.from_rows(rows)


def looked_up(frame: pd.DataFrame, key: str, **where) -> pd.DataFrame:
    """Rows where these columns have these values, by `key`."""
    for name, value in where.items():
        frame = frame[frame[name] == value]
    return frame.set_index(key)
