def run(*, metrics, standings_table, devices, spec, svg, png, presentation):
    for p in (spec, svg, png):
        open(p, "w").write("x")
