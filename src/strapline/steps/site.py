import os


def run(
    *,
    metrics,
    standings_table,
    sessions,
    devices,
    notices,
    standings_svg,
    index,
    device_pages,
    presentation,
):
    os.makedirs(device_pages, exist_ok=True)
    open(index, "w").write("x")
