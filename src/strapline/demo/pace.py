"""How far one goes, and how far devices say one went. The sizes are invented."""

import numpy as np

from strapline.demo.bench import Sport
from strapline.demo.chance import generator
from strapline.demo.physiology import Body, Floats, first_order, wandering

# Metres a step or a turn of the pedals at a usual cadence; who goes faster takes longer ones.
METRES, USUAL_PER_MIN = {"running": 1.05, "cycling": 5.5}, {"running": 160.0, "cycling": 72.0}
GROUND, GROUND_S = 0.09, 12
SLOWS_S = 4
# What a device is off by, in m/s, and how it smooths.
ERROR_M_S, ERROR_S, SMOOTHS_S = 0.15, 5, 1.5


def way_m(body: Body, sport: Sport, *seed: str) -> Floats:
    """Metres gone by each second of the session; all NaN where nobody goes anywhere."""
    cadence = body.cadence_per_min
    if sport not in METRES:
        return np.full(cadence.shape, np.nan)
    length = METRES[sport] * cadence / USUAL_PER_MIN[sport]
    ground = 1 + wandering(cadence.size, GROUND, GROUND_S, generator(*seed, "ground"))
    speed = first_order(length * cadence / 60 * np.maximum(ground, 0.2), SLOWS_S, SLOWS_S)
    return np.cumsum(speed)


def measured_m(way: Floats, *seed: str) -> Floats:
    """The same by a device, in whole centimetres: a little late, and off by what devices are."""
    speed = first_order(np.diff(way, prepend=way[:1]), SMOOTHS_S, SMOOTHS_S)
    error = wandering(way.size, ERROR_M_S, ERROR_S, generator(*seed, "distance"))
    going = np.where(speed > 0.1, np.maximum(speed + error, 0), 0)
    return np.round(np.cumsum(np.where(np.isnan(speed), np.nan, going)), 2)
