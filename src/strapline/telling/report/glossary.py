"""What each word means, on its own page: one word for one thing in pages, commands and tables."""

from typing import NamedTuple

from strapline.ground.report_files import GLOSSARY_PAGE
from strapline.ground.vocabulary import Fault
from strapline.telling.report.method_page import METHOD
from strapline.telling.report.page import Context, Page


class Word(NamedTuple):
    """`in_tables`: what code and tables call it; `never`: what else it is called elsewhere, and
    what no sentence of ours calls it."""

    word: str
    meaning: str
    in_tables: str = ""
    never: tuple[str, ...] = ()


WORDS = (
    Word(
        "strap",
        "The recording that the others are compared with, usually from a chest strap.",
        "reference",
        ("gold standard", "criterion device"),
    ),
    Word("device", "What is tested.", "device", ("wearable under test", "DUT")),
    Word(
        "wearer",
        "The person who wears the devices.",
        "wearer",
        ("subject", "participant", "user", "operator"),
    ),
    Word(
        "session",
        "One outing with all its recordings: one folder in the inbox.",
        "session",
        ("workout", "trial"),
    ),
    Word("activity", "What kind of session it is.", "activity", ("sport", "exercise type")),
    Word(
        "recording",
        "The heart rate that one device recorded in one session.",
        "recording",
        ("data stream", "dump", "upload"),
    ),
    Word(
        "card",
        "What the tester says of a session, in the file session.yaml.",
        never=("manifest", "metadata file"),
    ),
    Word("figure", "One number of one session.", "metric", ("score", "KPI")),
    Word(
        "stated figure",
        "A number that a device’s app shows, as the tester typed it into the card.",
        "stated",
    ),
    Word("statistic", "One number over several sessions.", "statistic", ("aggregate metric",)),
    Word(
        "view",
        "How the clocks are taken: settled by evidence, or with the delay taken out.",
        "alignment",
        ("clock mode",),
    ),
    Word(
        "fault",
        "A stretch in which a device is not right.",
        "episode",
        ("incident", "anomaly"),
    ),
    Word("stretch", "A part of a session.", never=("chunk", "slice")),
    Word(
        "counts",
        "Is used: said of a session, or a second, that figures are computed from.",
        never=("usable evidence",),
    ),
    Word("set aside", "Not used, for a stated reason.", "set_aside", ("rejected", "discarded")),
    Word(
        "edition",
        "All that was published at one time.",
        "edition",
        ("snapshot", "release", "bundle"),
    ),
    Word("error", "How far off a device was, whether too high or too low: the mean.", "mae"),
    Word("bias", "How far it was too high (+) or too low (−) on average.", "bias"),
    Word("margin", "The size from which on a bias matters; the settings have it.", "margin_bpm"),
    Word("criterion", "What a session must meet to pass; the tables say each."),
    Word("concordance", "How well two heart rates agree: 1 if they are the same.", "concordance"),
    Word("on track", "In no fault, and compared with the strap."),
    Word("late", "Showing what the strap showed some seconds before.", Fault.SLOW_TO_FOLLOW),
    Word("delay", "By how many seconds a device is late.", "delay"),
    Word("settled clock", "One that is right, or set right, by evidence beside heart rate."),
    Word("band of effort", "A range of heart rates, in percent of the wearer’s maximum."),
)


def context() -> Context:
    return {"words": WORDS}


GLOSSARY = Page(
    GLOSSARY_PAGE, "method_page", "glossary.html", context, within=METHOD.file, public=True
)
