# Needs: every session's tables and the archive's.
# Makes: when asked for (snakemake publish), what is published of each session, of the archive, its
# devices and pairs, and the site.

PUBLISH = f"{RESULTS}/publish"
PUBLISHING = RUN.settling.publishing
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
TABLES_OF_SESSION = {
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
# Of what is said and shown of it.
OF_TEXTS = {
    **{n: file for n, file in TABLES_OF_SESSION.items() if n not in ("ledger", "charts")},
    "episodes": "episodes.parquet",
}


# Of one session alone: --config session=<name>
rule publish:
    input:
        lambda wildcards: expand(f"{PUBLISH}/sessions/{{address}}", address=PUBLISHING.asked),
        [] if PUBLISHING.only else expand(
            f"{PUBLISH}/{{folder}}", folder=["archive", "devices", "pairs", "site"]
        ),


rule publish_session:
    input:
        **{name: PUBLISHING.of(f"{SESSION}/{file}") for name, file in OF_TEXTS.items()},
    output:
        folder=directory(f"{PUBLISH}/sessions/{{address}}"),
    wildcard_constraints:
        address="[a-z0-9-]+",
    params:
        method=RUN.method("publish_session"),
        bench=PUBLISHING.given(OF_SESSIONS.bench),
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
        bench=canonical(RUN.own.register.tested),
        edition=RUN.method("aggregate"),
        renamed=PUBLISHING.renamed,
    run:
        RUN.perform(
            "publish_archive",
            input,
            output,
            bench=params.bench,
            edition=params.edition,
            renamed=params.renamed,
        )


# One job, so that what it leaves is the whole site and nothing besides.
rule publish_site:
    input:
        looks=SHARED,
        archive_charts=f"{ARCHIVE}/charts",
        device_charts=f"{ARCHIVE}/devices",
        all_stated=in_parts("stated"),
        all_courses=in_parts("courses"),
        **{name: f"{ARCHIVE}/{name}.parquet" for name in OF_ARCHIVE},
        **{name: of_sessions(f"{SESSION}/{file}") for name, file in TABLES_OF_SESSION.items()},
    output:
        site=directory(f"{PUBLISH}/site"),
    params:
        method=RUN.method("publish_site"),
        in_force=RUN.all_settings,
        meanings=RUN.meanings,
        fingerprints=RUN.all_methods,
        renamed=PUBLISHING.renamed,
    run:
        RUN.perform(
            "publish_site",
            input,
            output,
            in_force=params.in_force,
            meanings=params.meanings,
            fingerprints=params.fingerprints,
            renamed=params.renamed,
        )
