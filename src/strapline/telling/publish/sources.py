"""What published figures rest on, in a line."""

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.vocabulary import UNSTATED
from strapline.ground.words import counted, day, plain, worn_by

_SHOWN = 8


def of_session(intake: SessionIntake, started_at: pd.Timestamp | None, edition: str) -> str:
    """'One session, one wearer, 2 April 2026; Watch against Strap. Method 1a2b3c4d.'"""
    wearers = worn_by(int(intake.wearer != UNSTATED))
    dates = [] if started_at is None else [day(started_at)]
    devices = [entry.label for entry in intake.tested]
    devices += [entry.label for entry in intake.stated_alone]
    names = ", ".join(plain(label) for label in devices) or "no device"
    strap = plain(intake.reference.label) if intake.reference else "no reference"
    what = ", ".join(["One session", wearers, *dates])
    corrected = f" Corrected: {plain(intake.correction)}" if intake.correction else ""
    return f"{what}; {names} against {strap}. Method {shown(edition)}.{corrected}"


def of_sessions(label: str, sessions: pd.DataFrame, edition: str) -> str:
    """The same of several sessions (SESSIONS), from the first day to the last; `label`: of the
    device that was worn in all of them, if one was."""
    stated = sessions["wearer"] != UNSTATED
    worn = worn_by(sessions.loc[stated, "wearer"].nunique(), int((~stated).sum()))
    started = sessions["started_at"].dropna()
    days = list(dict.fromkeys(map(day, (started.min(), started.max())))) if len(started) else []
    count = counted(sessions["session"].nunique(), "session")
    what = ", ".join([count, worn, *([" to ".join(days)] if days else [])])
    whose = f"{plain(label)}: {what}" if label else f"{what[:1].upper()}{what[1:]}"
    return f"{whose}. Method {shown(edition)}."


def shown(edition: str) -> str:
    """A stage's fingerprint, short: enough to tell one edition of the method from another."""
    return edition.rpartition(":")[2][:_SHOWN]
