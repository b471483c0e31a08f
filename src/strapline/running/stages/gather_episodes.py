"""Gather episodes: what some sessions' episodes tables say -> one file of each kind."""

from strapline.ground.tables.sessions import CONSEQUENCES, COURSES, EPISODES, SENTENCES


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
    EPISODES.gather(found, part_found)
    COURSES.gather(courses, part_courses)
    SENTENCES.gather(sentences, part_sentences)
    CONSEQUENCES.gather(consequences, part_consequences)
