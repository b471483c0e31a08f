"""Archive episodes: every session's episodes, courses, sentences, consequences -> the archive's."""

from strapline.tables.sessions import CONSEQUENCES, COURSES, EPISODES, SENTENCES


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
    EPISODES.write(EPISODES.read_all(found), all_found)
    COURSES.write(COURSES.read_all(courses), all_courses)
    SENTENCES.write(SENTENCES.read_all(sentences), all_sentences)
    CONSEQUENCES.write(CONSEQUENCES.read_all(consequences), all_consequences)
