# Needs: the archive's tables, and what is said of each session.
# Makes: what moved since the edition before, and its page; results/editions/ keeps the editions.


rule edition:
    input:
        described=of_parts("sessions.json"),
        standings_table=f"{ARCHIVE}/standings.parquet",
        findings_table=f"{ARCHIVE}/findings.parquet",
        comparisons_table=f"{ARCHIVE}/comparisons.parquet",
        firmware=f"{ARCHIVE}/firmware.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
        devices=f"{ARCHIVE}/devices.parquet",
        part_published=of_parts("published.parquet"),
        faults_table=f"{ARCHIVE}/faults.parquet",
        conditions_table=f"{ARCHIVE}/conditions.parquet",
    output:
        changes=f"{ARCHIVE}/changes.parquet",
    params:
        method=RUN.method("edition"),
        # Functions, for Snakemake would take braces in a plain string for wildcards.
        stages=RUN.in_force,
        register=RUN.whole_register,
    run:
        RUN.perform(
            "edition",
            input,
            output,
            results=RESULTS,
            stages=params.stages,
            register=params.register,
            versions=RUN.versions(),
        )


rule changes_page:
    input:
        changes=f"{ARCHIVE}/changes.parquet",
        devices=f"{ARCHIVE}/devices.parquet",
    output:
        **in_report(OF_STAGE["changes_page"]),
    params:
        method=RUN.method("changes_page"),
    run:
        RUN.perform("changes_page", input, output, results=RESULTS)
