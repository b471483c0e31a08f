"""Gather episodes: what some sessions' episodes tables say -> one file of each kind."""

from strapline.tables.sessions import CONSEQUENCES, COURSES, EPISODES, SENTENCES


def run(
    *,
    found: list[str],
    courses: list[str],
    sentences: list[str],
    consequences: list[str],
    part_found: str,
    part_courses: str,
    part_sentences: str,
    part_consequences: str,
) -> None:
    EPISODES.write(EPISODES.read_all(found), part_found)
    COURSES.write(COURSES.read_all(courses), part_courses)
    SENTENCES.write(SENTENCES.read_all(sentences), part_sentences)
    CONSEQUENCES.write(CONSEQUENCES.read_all(consequences), part_consequences)
