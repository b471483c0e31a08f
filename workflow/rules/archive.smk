# Needs: the sessions' tables, gathered in parts.
# Makes: the archive's tables and charts, and the report's pages besides those of sessions.
#
# What much else stands on has priority, or at the end one core would wait for another.



rule aggregate:
    input:
        described=of_parts("sessions.json"),
        part_whole=of_parts("whole_sessions.parquet"),
        part_differences=of_parts("differences.parquet"),
        part_stated=in_parts("stated"),
    output:
        whole_sessions=f"{ARCHIVE}/whole_sessions.parquet",
        standings_table=f"{ARCHIVE}/standings.parquet",
        apps_table=f"{ARCHIVE}/apps.parquet",
        findings_table=f"{ARCHIVE}/findings.parquet",
        comparisons_table=f"{ARCHIVE}/comparisons.parquet",
        paired_table=f"{ARCHIVE}/paired.parquet",
        firmware=f"{ARCHIVE}/firmware.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
        placements=f"{ARCHIVE}/placements.parquet",
        devices=f"{ARCHIVE}/devices.parquet",
        notices=f"{ARCHIVE}/notices.parquet",
    params:
        method=RUN.method("aggregate"),
        # A function, for Snakemake would take braces in a plain string for wildcards.
        left_alone=RUN.left_alone,
        market=RUN.on_the_market,
    priority: 2
    run:
        RUN.perform(
            "aggregate", input, output, left_alone=params.left_alone, market=params.market
        )


rule faults:
    input:
        part_found=in_parts("episodes"),
        part_courses=in_parts("courses"),
        sessions=f"{ARCHIVE}/sessions.parquet",
        placements=f"{ARCHIVE}/placements.parquet",
    output:
        faults_table=f"{ARCHIVE}/faults.parquet",
        conditions_table=f"{ARCHIVE}/conditions.parquet",
    params:
        method=RUN.method("faults"),
    priority: 2
    run:
        RUN.perform("faults", input, output)


rule archive_chart:
    input:
        whole_sessions=f"{ARCHIVE}/whole_sessions.parquet",
        standings=f"{ARCHIVE}/standings.parquet",
        findings=f"{ARCHIVE}/findings.parquet",
        comparisons=f"{ARCHIVE}/comparisons.parquet",
        paired=f"{ARCHIVE}/paired.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
        placements=f"{ARCHIVE}/placements.parquet",
        devices=f"{ARCHIVE}/devices.parquet",
    output:
        charts=directory(f"{ARCHIVE}/charts"),
        device_charts=directory(f"{ARCHIVE}/devices"),
    params:
        method=RUN.method("archive_chart"),
        bench=canonical(RUN.own.register.tested),
    priority: 1
    run:
        RUN.perform("archive_chart", input, output, bench=params.bench)


rule site:
    input:
        whole_sessions=f"{ARCHIVE}/whole_sessions.parquet",
        standings=f"{ARCHIVE}/standings.parquet",
        findings=f"{ARCHIVE}/findings.parquet",
        comparisons=f"{ARCHIVE}/comparisons.parquet",
        paired=f"{ARCHIVE}/paired.parquet",
        firmware=f"{ARCHIVE}/firmware.parquet",
        placements=f"{ARCHIVE}/placements.parquet",
        faults=f"{ARCHIVE}/faults.parquet",
        conditions=f"{ARCHIVE}/conditions.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
        devices=f"{ARCHIVE}/devices.parquet",
        notices=f"{ARCHIVE}/notices.parquet",
        apps=f"{ARCHIVE}/apps.parquet",
        stated=in_parts("stated"),
        courses=in_parts("courses"),
        charts=f"{ARCHIVE}/charts",
        device_charts=f"{ARCHIVE}/devices",
    output:
        pages=list(in_report(OF_STAGE["site"]).values()),
        device_pages=directory(f"{RESULTS}/report/devices"),
    params:
        method=RUN.method("site"),
    run:
        RUN.perform("site", input, output)


rule looks:
    output:
        files=[f"{RESULTS}/report/{name}" for name in LOOKS],
    params:
        method=RUN.method("looks"),
    run:
        RUN.perform("looks", input, output)


rule theme:
    output:
        script=f"{RESULTS}/report/{THEME}",
    params:
        method=RUN.method("theme"),
    run:
        RUN.perform("theme", input, output)


rule plan:
    input:
        described=of_parts("sessions.json"),
        whole_sessions=f"{ARCHIVE}/whole_sessions.parquet",
        findings_table=f"{ARCHIVE}/findings.parquet",
        comparisons_table=f"{ARCHIVE}/comparisons.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
    output:
        **in_report(OF_STAGE["plan"]),
    params:
        method=RUN.method("plan"),
        # A function, for Snakemake would take braces in a plain string for wildcards.
        bench=RUN.tested,
    run:
        RUN.perform("plan", input, output, bench=params.bench)


rule checklist:
    input:
        described=of_parts("sessions.json"),
        part_metrics=in_parts("metrics"),
        findings_table=f"{ARCHIVE}/findings.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
    output:
        **in_report(OF_STAGE["checklist"]),
    params:
        method=RUN.method("checklist"),
    run:
        RUN.perform("checklist", input, output)
rule method_page:
    output:
        **in_report(OF_STAGE["method_page"]),
    params:
        method=RUN.method("method_page"),
        # Functions, for Snakemake would take braces in a plain string for wildcards.
        in_force=RUN.all_settings,
        meanings=RUN.meanings,
        fingerprints=RUN.all_methods,
    run:
        RUN.perform(
            "method_page",
            input,
            output,
            in_force=params.in_force,
            meanings=params.meanings,
            fingerprints=params.fingerprints,
        )


rule spreadsheet:
    input:
        whole_sessions=f"{ARCHIVE}/whole_sessions.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
        placements=f"{ARCHIVE}/placements.parquet",
        devices=f"{ARCHIVE}/devices.parquet",
    output:
        figures=f"{ARCHIVE}/figures.csv",
    params:
        method=RUN.method("spreadsheet"),
    run:
        RUN.perform("spreadsheet", input, output)


rule data_page:
    input:
        tables=[f"{ARCHIVE}/{table}.parquet" for table in PUBLIC],
        part_tables=in_parts(*IN_PARTS),
    output:
        **in_report(OF_STAGE["data_page"]),
        values=[f"{DATA}/{table}.csv" for table in PUBLIC],
    params:
        method=RUN.method("data_page"),
    run:
        RUN.perform("data_page", input, output)
