"""Archive episodes: every session's episodes, courses and sentences -> the archive's."""

import pandas as pd

from strapline.tables.sessions import COURSES, EPISODES, SENTENCES
from strapline.tables.table import Table


def run(
    *,
    found: list[str],
    courses: list[str],
    sentences: list[str],
    all_found: str,
    all_courses: str,
    all_sentences: str,
) -> None:
    EPISODES.write(_joined(EPISODES, found), all_found)
    COURSES.write(_joined(COURSES, courses), all_courses)
    SENTENCES.write(_joined(SENTENCES, sentences), all_sentences)


def _joined(table: Table, paths: list[str]) -> pd.DataFrame:
    frames = [frame for path in paths if len(frame := table.read(path))]
    return pd.concat(frames, ignore_index=True) if frames else table.empty()
