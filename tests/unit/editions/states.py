"""States of an archive and what was published in them, as small as can be."""

from strapline.ground.tables.editions import KEY_NAMES, PUBLISHED
from strapline.keeping.editions.causes import ALL_STAGES
from strapline.keeping.editions.in_force import InForce, Sources, Stage


def state(sessions=None, settings=None, code=None, **more):
    """As it was when all was built, with what a test changes."""
    given = {"measure": {"tolerance": {"beats": 5.0}}, "align": {"alignment": {"search_s": 90}}}
    return InForce(
        sessions=sessions or {"a": Sources(exports={"strap.csv": "1", "watch.csv": "2"})},
        stages={
            stage: Stage(
                code=(code or {}).get(stage, "old"),
                settings=(settings or {}).get(stage, given.get(stage, {})),
            )
            for stage in ALL_STAGES
        },
        **{"devices": "{}", "versions": {"scipy": "1"}} | more,
    )


def rows(**values):
    """PUBLISHED with one figure a session or (empty) of the archive, and a sentence."""
    return PUBLISHED.from_rows(
        [
            dict.fromkeys(KEY_NAMES, "")
            | {
                "place": "metrics" if session else "findings",
                "session": session.strip("_"),
                "figure": "bias",
                "unit": "bpm",
                "value": value,
            }
            for session, value in values.items()
        ]
    )
