"""Archive episodes: gathered episodes, courses, sentences, consequences -> the archive's."""

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
    EPISODES.gather(part_found, all_found)
    COURSES.gather(part_courses, all_courses)
    SENTENCES.gather(part_sentences, all_sentences)
    CONSEQUENCES.gather(part_consequences, all_consequences)
