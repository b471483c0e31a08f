"""Every picture there is.

Steps take their own part, so that another picture of the archive draws no session anew.
"""

from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.session_charts import SESSION_CHARTS

CHARTS = (*SESSION_CHARTS, *ARCHIVE_CHARTS, *DEVICE_CHARTS)
