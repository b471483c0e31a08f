"""What apps state, on pages: of one session in rows, over sessions in sentences."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping
from typing import Any

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.records.marks import AS_STATED, unmarked
from strapline.ground.vocabulary import HeldAgainst, StatedFigure
from strapline.ground.words import clock, counted, number, reading

WORDS: dict[str, str] = {
    StatedFigure.AVERAGE: "average",
    StatedFigure.MAXIMUM: "highest",
    StatedFigure.MINIMUM: "lowest",
    StatedFigure.DURATION: "duration",
}
_SCREENSHOT = "its screenshot"
AGAINST: dict[str, str] = {HeldAgainst.EXPORT: "its export", HeldAgainst.STRAP: "the strap"}


def sentences_of(stated: pd.DataFrame, recording: str) -> list[str]:
    """What there is to say of what one app states, each sentence once."""
    own = stated.loc[stated["recording"] == recording, "sentence"]
    return list(dict.fromkeys(own))


def stated_rows(stated: pd.DataFrame, intake: SessionIntake) -> list[dict[str, Any]]:
    """A row of a session's page a stated figure."""
    labels = {entry.recording: entry.label for entry in intake.stated}
    pictured = {entry.recording for entry in intake.recordings if entry.resolution}
    return [
        {
            "recording": str(row["recording"]),
            "key": str(row["figure"]),
            "device": labels[str(row["recording"])],
            "figure": WORDS[row["figure"]],
            "against": _SCREENSHOT if row["recording"] in pictured else AGAINST[row["against"]],
            **{
                name: _shown(row["figure"], row[name], plus=name == "difference")
                for name in ("stated", "measured", "difference")
            },
        }
        for row in stated.to_dict("records")
    ]


def over_sessions(apps: pd.DataFrame, device: str, label: str) -> list[str]:
    """How far what the device's app states is from its export, and from the strap."""
    own = apps[apps["device"] == device]
    of_strap = own["against"] == HeldAgainst.STRAP
    again = of_strap & of_strap.cumsum().gt(1)
    rows = zip(own.to_dict("records"), again, strict=True)
    return [_over_sessions(row, unmarked(label), bool(is_again)) for row, is_again in rows]


def marked(label: str) -> str:
    """A device's label where its app's figures stand for it."""
    return f"{unmarked(label)}{AS_STATED}"


def _over_sessions(row: Mapping[Hashable, Any], label: str, again: bool) -> str:
    unit = "s" if row["figure"] == StatedFigure.DURATION else "bpm"
    mean, low, high = (
        f"{number(row[name], name != 'mean')}" for name in ("mean", "lowest", "highest")
    )
    word = WORDS[row["figure"]]
    side = "above" if row["mean"] > 0 else "below"
    far = f"{mean.lstrip('−')} {unit} {side} " if mean != "0.0" else ""
    sessions = counted(row["sessions"], "session")
    spread = f" ({low} to {high})" if row["sessions"] > 1 else ""
    if row["against"] == HeldAgainst.STRAP:
        whose = f"By the same app, its {word}" if again else f"As its app states, {label}’s {word}"
        return f"{whose} was {far}the strap’s in {sessions}{spread}."
    beyond = int(row["beyond_rounding"])
    rounded = "rounding can account for that" if not beyond else f"beyond rounding in {beyond}"
    return (
        f"The {word} that {label}’s app states was {far}that of its own recording in "
        f"{sessions}{spread}; {rounded}."
    )


def _shown(figure: str, value: float, plus: bool) -> str:
    if math.isnan(value):
        return number(None)
    if figure == StatedFigure.DURATION:
        return f"{number(value, True, 0)} s" if plus else clock(value)
    return number(value, plus) if plus else reading(value)
