"""Archive episodes: every session's episodes, courses, sentences, consequences -> the archive's."""

import pandas as pd

from strapline.tables.sessions import CONSEQUENCES, COURSES, EPISODES, SENTENCES
from strapline.tables.table import Table


def run(
    *,
    found: list[str],
    courses: list[str],
    sentences: list[str],
    consequences: list[str],
    all_found: str,
    all_courses: str,
    all_sentences: str,
    all_consequences: str,
) -> None:
    EPISODES.write(_joined(EPISODES, found), all_found)
    COURSES.write(_joined(COURSES, courses), all_courses)
    SENTENCES.write(_joined(SENTENCES, sentences), all_sentences)
    CONSEQUENCES.write(_joined(CONSEQUENCES, consequences), all_consequences)


def _joined(table: Table, paths: list[str]) -> pd.DataFrame:
    frames = [frame for path in paths if len(frame := table.read(path))]
    return pd.concat(frames, ignore_index=True) if frames else table.empty()
