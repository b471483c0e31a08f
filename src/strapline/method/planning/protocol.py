"""What the wearer and the tester do before, during and after a session, and why.

Sources: (a) the expert statement of the INTERLIVE network, Mühlen et al. 2021, Br J Sports Med,
doi 10.1136/bjsports-2020-103148, as far as read and in our own words; the rest is common
practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from strapline.ground.settings import Claims

STATEMENT = "Mühlen et al. 2021"
STATEMENT_IN_FULL = (
    "Expert statement of the INTERLIVE network: Mühlen et al. 2021, Br J Sports Med, "
    "doi 10.1136/bjsports-2020-103148"
)

# What a session card's `conditions` should hold after the expert statement, and what each is.
CONDITIONS = {
    "height_cm": "the wearer’s height, for body mass index with the weight",
    "skin_tone": "on the scale you use, such as 3 of 6; it bears on optical sensors",
    "last_meal_h": "hours since the last meal",
    "caffeine": "none, or how much and when",
    "medication": "none, or any that acts on heart rate; only if the wearer wants it known",
    "activity_before": "what was done in the hours before",
}
# Of these, what a wearer has also the next time.
STAYING = ("height_cm", "skin_tone")

CAUTION = (
    "Exercise within your fitness and stop when unwell. Follow local rules and a qualified "
    "professional’s advice; this list takes the place of neither."
)


def protocol(claims: Claims) -> list[tuple[str, list[str]]]:
    """A heading and its points, in the order of the day."""
    minutes = claims.does.fewest_minutes / claims.does.fewest_sessions
    cited = f"({STATEMENT})"
    return [
        (
            "Before",
            [
                "Warm the strap: wet its electrodes, wear it snug below the chest muscles for five "
                "minutes, and wait until its reading is steady.",
                "Wear each watch on the wrist named here, at the place and as tight as its maker "
                f"says {cited}. Wipe its window; nothing else on that wrist.",
                "Set every clock from one phone: open each device’s app on it shortly before.",
                "Have every device record each second, and speed, cadence or power wherever it "
                "can, the strap’s recording too: what both measured settles their clocks.",
                "Outdoors, wait for a satellite fix on every device before you start.",
                "Pair no watch with the strap, and switch off what the strap broadcasts to it: a "
                "paired watch records the strap.",
            ],
        ),
        (
            "Start",
            [
                "Start every recording, then rest for 2 minutes.",
                "Press every lap key at the same moment. Without lap keys, swing both arms three "
                "times, quickly, then make one sharp effort of 20 seconds and rest again.",
            ],
        ),
        (
            "Session",
            [
                "Hold each of several efforts steady for 2 to 5 minutes, and let there be changes "
                "and recovery between them; changing efforts go on for 15 minutes or more "
                f"{cited}.",
                f"Record at least {minutes:.0f} minutes, so that the sessions planned hold as many "
                "as a claim asks for.",
            ],
        ),
        (
            "End",
            [
                "Give the same signal again, then rest for 2 to 5 minutes before stopping.",
                "Export each recording from its device’s own app, unchanged, into the folder.",
            ],
        ),
        (
            "Write into the card",
            [
                "Which lap press or moment the signal was (lap or marker under clock), and the "
                "firmware of each device.",
                f"The wearer’s age, sex and weight under body {cited}, as far as they want them "
                "known.",
                f"Under conditions: {', '.join(CONDITIONS)} {cited}; and, such as temperature_c, "
                "whatever else a reader should know.",
            ],
        ),
    ]
