"""Write a session's card from what was inferred, and ask only what no file can know.

With --answers it asks nothing, for example: --answers wearer=june grey-watch.placement=left_wrist
"""

import argparse
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from strapline.ground.documents import DocumentError, as_yaml, validated
from strapline.ground.files import write_text
from strapline.ground.records.card import FILE_NAME, Card
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.vocabulary import UNSTATED
from strapline.ground.words import plain
from strapline.reading.session.questions import Question, card_content, questions
from strapline.running.asked import among, session_of
from strapline.running.commands import bench


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("session", help="its name in the closing lines and the report")
    parser.add_argument(
        "--answers", nargs="+", metavar="KEY=ANSWER", help="what it would ask, such as wearer=june"
    )
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    session = session_of(own.results, options.session)
    intake = read_intake(own.results / "sessions" / session / "intake.json")
    place = place_of_card(own.inbox, intake)
    if place.exists():
        raise DocumentError([f"{place} is there already. Correct it, or delete it first."])
    wearers = sorted({*own.sessions["wearer"].map(str)} - {UNSTATED})
    asked = list(questions(intake, own.register.devices, wearers))
    if options.answers is not None:
        answers = _given(options.answers, asked)
    elif sys.stdin.isatty():
        answers = _ask(asked)
    else:
        answers = {}
    content = card_content(intake, answers)
    validated(content, Card, FILE_NAME)
    write_text(place, as_yaml(content))
    print(f"The card is {plain(str(place))}. Type `snakemake` to use it.")
    open_ = [
        f"{question.key} ({question.text})" for question in asked if question.key not in answers
    ]
    if open_:
        print("Not answered; add to the card what you know:")
        for line in open_:
            print(f"  {line}")
    return 0


def place_of_card(inbox: Path, intake: SessionIntake) -> Path:
    """Where the card is, or is to be. Raises DocumentError where there is no session."""
    folder = inbox / intake.title
    place = folder / FILE_NAME if folder.is_dir() else inbox / f"{intake.title}.yaml"
    if not (folder.is_dir() or any((inbox / e.file).is_file() for e in intake.recordings)):
        raise DocumentError([f"{inbox} holds no session {plain(intake.title)} any more."])
    return place


def _given(pairs: Sequence[str], asked: Sequence[Question]) -> dict[str, str]:
    answers = {}
    for pair in pairs:
        key, is_pair, answer = pair.partition("=")
        if not is_pair:
            raise DocumentError([f"'{plain(pair)}' is no answer; write it as key=answer."])
        answers[among("question", key, [question.key for question in asked])] = answer
    return {key: answer for key, answer in answers.items() if answer}


def _ask(asked: Sequence[Question]) -> dict[str, str]:
    print("Press Enter to leave out what you do not know.")
    return dict(_answers(asked))


def _answers(asked: Sequence[Question]) -> Iterator[tuple[str, str]]:
    for question in asked:
        hint = f" ({', '.join(question.choices)})" if question.choices else ""
        answer = input(f"{question.text}{hint} ").strip()
        if answer:
            yield question.key, answer
