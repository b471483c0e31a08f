"""Archive episodes: gathered episodes, courses, sentences, consequences -> the archive's."""

from strapline.tables.parts import read_parts
from strapline.tables.sessions import CONSEQUENCES, COURSES, EPISODES, SENTENCES


def run(
    *,
    part_found: list[str],
    part_courses: list[str],
    part_sentences: list[str],
    part_consequences: list[str],
    all_found: str,
    all_courses: str,
    all_sentences: str,
    all_consequences: str,
) -> None:
    EPISODES.write(read_parts(EPISODES, part_found), all_found)
    COURSES.write(read_parts(COURSES, part_courses), all_courses)
    SENTENCES.write(read_parts(SENTENCES, part_sentences), all_sentences)
    CONSEQUENCES.write(read_parts(CONSEQUENCES, part_consequences), all_consequences)
