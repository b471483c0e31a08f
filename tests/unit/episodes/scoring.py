"""What is found in an invented session against what is true in it."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from strapline.ground.settings import Episodes
from strapline.method.episodes.detect import Detection, detect
from unit.episodes.invented import Known, session, true_faults

# A guess shown until the pulse is found is one value, and off.
# Of a sensor that is late and low at once both are true.
ALSO_RIGHT = {
    "first_lock": {"stuck", "reads_low", "reads_high"},
    "late_and_low": {"reads_low", "slow_to_follow"},
}
LEAST_S, LEAST_BPM = 15, 10


@dataclass(frozen=True)
class Score:
    """faults: kind, s, found_s (as that kind), any_s, onset_s. found: kind, right_s, judged_s.
    seconds: true, found, s."""

    faults: pd.DataFrame
    found: pd.DataFrame
    seconds: pd.DataFrame


def score(seed: int) -> Score:
    known = session(seed)
    return scored(known, detect(known.view, Episodes()))


def scored(known: Known, detection: Detection) -> Score:
    labels = np.full(known.view.length, "on_track", dtype=object)
    for episode in (*detection.episodes, *detection.events):
        labels[episode.start_s : episode.end_s] = episode.kind
    pairs = pd.DataFrame({"true": known.truth, "found": labels}).value_counts()
    return Score(
        pd.DataFrame(_faults(known, labels), columns=["kind", "s", "found_s", "any_s", "onset_s"]),
        pd.DataFrame(
            [_found(known, e.kind, e.start_s, e.end_s) for e in detection.episodes],
            columns=["kind", "right_s", "judged_s"],
        ),
        pairs.rename("s").reset_index(),
    )


def _faults(known: Known, labels: np.ndarray) -> list[dict[str, object]]:
    """One row a true fault of at least `LEAST_S` (but for spikes) and a mean of `LEAST_BPM`."""
    rows = []
    for fault in true_faults(known):
        length = fault.end_s - fault.start_s
        large = fault.kind == "no_value" or fault.mean_bpm >= LEAST_BPM
        long = length >= LEAST_S or fault.kind == "spike"
        if not (long and large):
            continue
        own = labels[fault.start_s : fault.end_s]
        right = np.isin(own, list(ALSO_RIGHT.get(fault.kind, {fault.kind})))
        row = {"kind": fault.kind, "s": length, "found_s": int(right.sum())}
        row |= {"any_s": int((own != "on_track").sum()), "onset_s": np.nan}
        if right.any() and _begins(known, fault.start_s):
            row["onset_s"] = _onset(labels, right, fault.start_s) - fault.start_s
        rows.append(row)
    return rows


def _begins(known: Known, start: int) -> bool:
    """Whether the device was right until then: no fault merely turns into another."""
    return start > 0 and known.truth[start - 1] == "on_track"


def _onset(labels: np.ndarray, right: np.ndarray, start: int) -> int:
    """Where the first episode of the right kind begins, perhaps before `start`."""
    first = start + int(np.argmax(right))
    while first > 0 and first <= start and labels[first - 1] == labels[start]:
        first -= 1
    return first


def _found(known: Known, kind: str, start: int, end: int) -> dict[str, object]:
    true = known.truth[start:end]
    judged = true != "open"
    right = [kind in ALSO_RIGHT.get(word, {word}) for word in true[judged]]
    return {"kind": kind, "right_s": sum(right), "judged_s": int(judged.sum())}
