"""How often the intervals of load and energy hold the truth, in simulated sessions.

python tests/benchmarks/load_intervals.py [sessions] [minutes]

Heart rate wanders as a first-order autoregression (a minute's memory) and so does the device's
error (5 or 20 s); the truth is the mean over a very long session. All sizes are invented.
"""

import sys
from collections import Counter
from collections.abc import Iterator

import numpy as np
from scipy.signal import lfilter

from strapline.ground.records.card import Body
from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.settings import Intervals
from strapline.method.agreement.resampling import generator
from strapline.method.consequences.needs import BANISTER, EDWARDS, ENERGY
from strapline.method.consequences.sums import Seconds, Sum, sums

BODY = Body(maximum_bpm=190, resting_bpm=50, age_years=40, sex="male", weight_kg=70)
VERY_LONG_S = 2_000_000
SETTLE_S = 2000


def wandering(random: np.random.Generator, seconds: int, memory_s: float) -> np.ndarray:
    """Of mean 0 and SD 1, one value a second."""
    kept = np.exp(-1 / memory_s)
    steps = random.normal(size=seconds + SETTLE_S) * np.sqrt(1 - kept**2)
    series: np.ndarray = lfilter([1], [1, -kept], steps)[SETTLE_S:]
    return series


def loads(random: np.random.Generator, seconds: int, memory_s: float) -> Iterator[Sum]:
    reference = 130 + 22 * wandering(random, seconds, 60)
    device = reference - 2 + 5 * wandering(random, seconds, memory_s)
    told = sums(Seconds(reference, device), MaximumHeartRate(190, "stated"), BODY, 160)
    return (one for one in told if one.quantity in (BANISTER, EDWARDS, ENERGY))


def difference(one: Sum) -> float:
    reference, device = one.totals
    return device - reference


def main(sessions: int, minutes: int) -> None:
    seconds = 60 * minutes
    print(f"{sessions} sessions of {minutes} minutes")
    for memory_s in (5, 20):
        random = generator(f"load intervals {memory_s}")
        long = loads(random, VERY_LONG_S, memory_s)
        truth = {one.quantity: difference(one) * seconds / VERY_LONG_S for one in long}
        given: Counter[str] = Counter()
        held: Counter[str] = Counter()
        for session in range(sessions):
            for one in loads(random, seconds, memory_s):
                found = one.interval(Intervals(), str(session))
                given[one.quantity] += not np.isnan(found.low)
                held[one.quantity] += found.low <= truth[one.quantity] <= found.high
        for quantity in truth:
            print(
                f"error of {memory_s} s memory, {quantity}: {given[quantity]} intervals, "
                f"{held[quantity] / max(given[quantity], 1):.1%} hold the truth"
            )


if __name__ == "__main__":
    main(*(int(n) for n in (sys.argv[1:] + ["400", "25"][len(sys.argv) - 1 :])))
