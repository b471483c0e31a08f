"""All pictures of one session, in the order in which a reader meets them."""

from strapline.telling.charts.band_minutes import BAND_MINUTES
from strapline.telling.charts.bland_altman import BLAND_ALTMAN
from strapline.telling.charts.cumulative import CUMULATIVE
from strapline.telling.charts.error_by_offset import ERROR_BY_OFFSET
from strapline.telling.charts.response import RESPONSE
from strapline.telling.charts.scatter import SCATTER
from strapline.telling.charts.traces import TRACES

SESSION_CHARTS = (
    TRACES,
    CUMULATIVE,
    SCATTER,
    RESPONSE,
    BLAND_ALTMAN,
    ERROR_BY_OFFSET,
    BAND_MINUTES,
)
