"""Every picture there is, and the names of those that can be published.

Steps take their own part, so that another picture of the archive draws no session anew.
"""

from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.drawings.drawings import FOR_VIDEO

CHARTS = (*SESSION_CHARTS, *ARCHIVE_CHARTS, *DEVICE_CHARTS)
PICTURES = (*dict.fromkeys(chart.name for chart in CHARTS if chart.published), *FOR_VIDEO)
