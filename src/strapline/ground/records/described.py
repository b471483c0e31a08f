"""What is said of sessions apart from their figures, many in one file."""

import datetime as dt
import os
from collections.abc import Iterable

from pydantic import BaseModel, RootModel

from strapline.ground.documents import Strict
from strapline.ground.files import read_model, write_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import SessionIntake


class Described(Strict):
    """A session's intake without the names of its files, the decisions about its clocks, and its
    first and last second in UTC; None where it has none."""

    intake: SessionIntake
    alignment: SessionAlignment
    first: dt.datetime | None
    last: dt.datetime | None


class WithIntake(BaseModel):
    """Of `Described`, the intake: to read no more takes half as long."""

    intake: SessionIntake


# Some of the archive's sessions.
AllDescribed = RootModel[tuple[Described, ...]]
AllIntakes = RootModel[tuple[WithIntake, ...]]


def write_described(path: str | os.PathLike[str], sessions: Iterable[Described]) -> None:
    write_model(path, AllDescribed(tuple(sessions)))


def read_described(paths: Iterable[str | os.PathLike[str]]) -> list[Described]:
    """The sessions of all `paths`, in their order."""
    return [session for path in paths for session in read_model(path, AllDescribed).root]


def read_intakes(paths: Iterable[str | os.PathLike[str]]) -> list[SessionIntake]:
    """The intakes of the sessions of all `paths`, in their order."""
    return [session.intake for path in paths for session in read_model(path, AllIntakes).root]
