# Needs: tables of every session.
# Makes: the same in parts, of which a new session changes one; see strapline.tables.parts.

PART = f"{RESULTS}/parts/{{part}}"
PARTS = parts(INBOX.sessions)


if workflow.is_main_process and not workflow.output_settings.dryrun:
    # An archive that grew has other parts.
    for kept in (Path(RESULTS, "parts"), PLACES.results / "receipts" / "parts"):
        for folder in kept.glob("*"):
            if folder.name not in PARTS:
                shutil.rmtree(folder)


wildcard_constraints:
    part="[0-9]+",


def of_parts(name):
    return expand(f"{PART}/{name}", part=PARTS)


def of_its_sessions(pattern):
    """Input function: `pattern` for every session of a part."""
    return lambda wildcards: of_sessions(pattern, PARTS[wildcards.part])


rule gather_sessions:
    input:
        intakes=of_its_sessions(f"{SESSION}/intake.json"),
        clocks=of_its_sessions(f"{SESSION}/alignment.json"),
        aligned=of_its_sessions(f"{SESSION}/aligned.parquet"),
    output:
        described=f"{PART}/sessions.json",
    params:
        method=method("gather_sessions"),
    run:
        perform("gather_sessions", input, output)


rule gather_figures:
    input:
        metrics=of_its_sessions(f"{SESSION}/metrics.parquet"),
    output:
        part_metrics=f"{PART}/metrics.parquet",
    params:
        method=method("gather_figures"),
    run:
        perform("gather_figures", input, output)


rule gather_episodes:
    input:
        found=of_its_sessions(f"{SESSION}/episodes.parquet"),
        courses=of_its_sessions(f"{SESSION}/courses.parquet"),
        sentences=of_its_sessions(f"{SESSION}/sentences.parquet"),
        consequences=of_its_sessions(f"{SESSION}/consequences.parquet"),
    output:
        part_found=f"{PART}/episodes.parquet",
        part_courses=f"{PART}/courses.parquet",
        part_sentences=f"{PART}/sentences.parquet",
        part_consequences=f"{PART}/consequences.parquet",
    params:
        method=method("gather_episodes"),
    run:
        perform("gather_episodes", input, output)
