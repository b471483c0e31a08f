# Needs: every session's tables and the archive's.
# Makes: what is published of each session and device, when asked for: snakemake publish

PUBLISH = f"{RESULTS}/publish"


rule publish:
    input:
        expand(f"{PUBLISH}/sessions/{{session}}", session=RUN.sessions),
        f"{PUBLISH}/devices",


rule publish_session:
    input:
        intake=f"{SESSION}/intake.json",
        aligned=f"{SESSION}/aligned.parquet",
        metrics=f"{SESSION}/metrics.parquet",
        clocks=f"{SESSION}/alignment.json",
        offsets=f"{SESSION}/offsets.parquet",
        episodes=f"{SESSION}/episodes.parquet",
        sentences=f"{SESSION}/sentences.parquet",
        consequences=f"{SESSION}/consequences.parquet",
    output:
        folder=directory(f"{PUBLISH}/sessions/{{session}}"),
    wildcard_constraints:
        session="[a-z0-9-]+",
    params:
        method=RUN.method("publish_session"),
        bench=OF_SESSIONS.bench,
        edition=RUN.method("measure"),
    run:
        RUN.perform("publish_session", input, output, bench=params.bench, edition=params.edition)


rule publish_devices:
    input:
        whole_sessions=f"{ARCHIVE}/whole_sessions.parquet",
        findings=f"{ARCHIVE}/findings.parquet",
        sessions=f"{ARCHIVE}/sessions.parquet",
        placements=f"{ARCHIVE}/placements.parquet",
        devices=f"{ARCHIVE}/devices.parquet",
    output:
        folder=directory(f"{PUBLISH}/devices"),
    params:
        method=RUN.method("publish_devices"),
        bench=canonical(RUN.register.tested),
        edition=RUN.method("aggregate"),
    run:
        RUN.perform("publish_devices", input, output, bench=params.bench, edition=params.edition)
