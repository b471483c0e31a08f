"""All pictures of the archive, and of a device in it, in the order in which they are met."""

from strapline.telling.charts.forest import FOREST
from strapline.telling.charts.head_to_head import HEAD_TO_HEAD
from strapline.telling.charts.ranking import RANKING
from strapline.telling.charts.sessions_map import SESSIONS_MAP
from strapline.telling.charts.standings import STANDINGS
from strapline.telling.charts.trend import TREND

ARCHIVE_CHARTS = (RANKING, STANDINGS, SESSIONS_MAP, HEAD_TO_HEAD)

DEVICE_CHARTS = (FOREST, TREND)
