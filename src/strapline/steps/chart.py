def run(
    *,
    intake,
    aligned,
    metrics,
    traces_spec,
    traces_svg,
    traces_png,
    bland_altman_spec,
    bland_altman_svg,
    bland_altman_png,
    tolerance,
    presentation,
):
    for p in (
        traces_spec,
        traces_svg,
        traces_png,
        bland_altman_spec,
        bland_altman_svg,
        bland_altman_png,
    ):
        open(p, "w").write("x")
