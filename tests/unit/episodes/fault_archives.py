"""An archive's EPISODES and COURSES from a few words a session."""

import pandas as pd

from strapline.ground.tables.sessions import COURSES, EPISODES
from strapline.method.episodes.not_compared import PARTS

START = pd.Timestamp("2026-03-01", tz="UTC")


def archive(*sessions):
    """Frames under EPISODES and COURSES.

    A session: `episodes` as (kind, start_s, end_s, mean_error_bpm, on_track_after_s), and
    part_of_s of an event, `judged_s`, and whatever of its names is not as here.
    """
    found, courses = [], []
    for place, given in enumerate(sessions):
        names = {
            "session": given.get("session", f"s-{place:03}"),
            "wearer": given.get("wearer", "ada"),
            "activity": given.get("activity", "run"),
            "device": given.get("device", "watch"),
        }
        names["recording"] = given.get("recording", names["device"])
        spent = 0
        for kind, start, end, error, after, *part_of in given.get("episodes", ()):
            spent += 0 if part_of else end - start
            found.append(
                names
                | {
                    "kind": kind,
                    "start": START + pd.Timedelta(seconds=start),
                    "end": START + pd.Timedelta(seconds=end),
                    "start_s": start,
                    "end_s": end,
                    "share": (end - start) / given["judged_s"],
                    "mean_error_bpm": error,
                    "peak_error_bpm": error,
                    "evidence": "told",
                    "on_track_after_s": after,
                    "part_of_s": part_of[0] if part_of else None,
                }
            )
        courses.append(
            names
            | {
                "length_s": given["judged_s"] + 100,
                "episodes_s": spent,
                "on_track_s": given["judged_s"] - spent,
                "not_compared_s": 100,
                **dict.fromkeys(PARTS, 20),
                "not_testable": given.get("not_testable"),
                "clock_is_open": given.get("clock_is_open", False),
                "began_s": 0,
                "peaks": 0,
                "peaks_reached": 0,
            }
        )
    return EPISODES.from_rows(found), COURSES.from_rows(courses)


def low(seconds, judged_s=3600, **names):
    """A session with one episode of `seconds`, or none of 0."""
    episodes = [("reads_low", 0, seconds, -20.0, 500)] if seconds else []
    return {"episodes": episodes, "judged_s": judged_s, **names}
