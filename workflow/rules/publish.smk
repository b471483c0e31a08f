# Needs: every session's tables and the archive's.
# Makes: what is published of each session and device, when asked for: snakemake publish

PUBLISH = f"{RESULTS}/publish"
OF_ARCHIVE = [
    "whole_sessions",
    "standings",
    "apps",
    "findings",
    "comparisons",
    "firmware",
    "faults",
    "conditions",
    "sessions",
    "placements",
    "devices",
    "notices",
]


rule publish:
    input:
        expand(f"{PUBLISH}/sessions/{{session}}", session=RUN.sessions),
        f"{PUBLISH}/archive",
        f"{PUBLISH}/devices",
        f"{PUBLISH}/pairs",


rule publish_session:
    input:
        intake=f"{SESSION}/intake.json",
        aligned=f"{SESSION}/aligned.parquet",
        metrics=f"{SESSION}/metrics.parquet",
        stated=f"{SESSION}/stated.parquet",
        clocks=f"{SESSION}/alignment.json",
        offsets=f"{SESSION}/offsets.parquet",
        episodes=f"{SESSION}/episodes.parquet",
        courses=f"{SESSION}/courses.parquet",
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


rule publish_archive:
    input:
        **{name: f"{ARCHIVE}/{name}.parquet" for name in OF_ARCHIVE},
        stated=in_parts("stated"),
    output:
        archive_folder=directory(f"{PUBLISH}/archive"),
        device_folders=directory(f"{PUBLISH}/devices"),
        pair_folders=directory(f"{PUBLISH}/pairs"),
    params:
        method=RUN.method("publish_archive"),
        bench=canonical(RUN.register.tested),
        edition=RUN.method("aggregate"),
    run:
        RUN.perform("publish_archive", input, output, bench=params.bench, edition=params.edition)
