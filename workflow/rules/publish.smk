# Needs: every session's tables and the archive's.
# Makes: when asked for (snakemake publish), what is published of each session, of the archive, its
# devices and pairs, and the site.

PUBLISH = f"{RESULTS}/publish"
OF_ARCHIVE = [
    "whole_sessions",
    "standings",
    "apps",
    "findings",
    "comparisons",
    "paired",
    "firmware",
    "faults",
    "conditions",
    "sessions",
    "placements",
    "devices",
    "notices",
]

# Of a session's page.
OF_SESSION = {
    "intake": "intake.json",
    "clocks": "alignment.json",
    "ledger": "ledger.json",
    "metrics": "metrics.parquet",
    "offsets": "offsets.parquet",
    "aligned": "aligned.parquet",
    "courses": "courses.parquet",
    "sentences": "sentences.parquet",
    "consequences": "consequences.parquet",
    "stated": "stated.parquet",
    "charts": "charts",
}


# Of one session alone: --config session=<name>
rule publish:
    input:
        expand(f"{PUBLISH}/sessions/{{session}}", session=RUN.publishing or RUN.sessions),
        [] if RUN.publishing else expand(
            f"{PUBLISH}/{{folder}}", folder=["archive", "devices", "pairs", "site"]
        ),


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
        # What its page is called on the site, where pictures name it.
        named=[f"{ARCHIVE}/sessions.parquet"] if RUN.settings.presentation.address else [],
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
        courses=in_parts("courses"),
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


# One job, so that what it leaves is the whole site and nothing besides.
rule publish_site:
    input:
        looks=SHARED,
        archive_charts=f"{ARCHIVE}/charts",
        device_charts=f"{ARCHIVE}/devices",
        all_stated=in_parts("stated"),
        all_courses=in_parts("courses"),
        **{name: f"{ARCHIVE}/{name}.parquet" for name in OF_ARCHIVE},
        **{name: of_sessions(f"{SESSION}/{file}") for name, file in OF_SESSION.items()},
    output:
        site=directory(f"{PUBLISH}/site"),
    params:
        method=RUN.method("publish_site"),
        in_force=RUN.all_settings,
        meanings=RUN.meanings,
        fingerprints=RUN.all_methods,
    run:
        RUN.perform(
            "publish_site",
            input,
            output,
            in_force=params.in_force,
            meanings=params.meanings,
            fingerprints=params.fingerprints,
        )
