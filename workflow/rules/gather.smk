# Needs: tables of every session.
# Makes: the same in parts, of which a new session changes one; see strapline.ground.tables.parts.


rule gather_sessions:
    input:
        intakes=OF_SESSIONS.of_part(f"{SESSION}/intake.json"),
        clocks=OF_SESSIONS.of_part(f"{SESSION}/alignment.json"),
        aligned=OF_SESSIONS.of_part(f"{SESSION}/aligned.parquet"),
        stated=OF_SESSIONS.of_part(f"{SESSION}/stated.parquet"),
    output:
        described=f"{PART}/sessions.json",
    params:
        method=RUN.method("gather_sessions"),
    priority: 2
    run:
        RUN.perform("gather_sessions", input, output)


rule gather_figures:
    input:
        metrics=OF_SESSIONS.of_part(f"{SESSION}/metrics.parquet"),
        differences=OF_SESSIONS.of_part(f"{SESSION}/differences.parquet"),
        stated=OF_SESSIONS.of_part(f"{SESSION}/stated.parquet"),
    output:
        part_whole=f"{PART}/whole_sessions.parquet",
        part_differences=f"{PART}/differences.parquet",
        part_metrics=f"{ARCHIVE}/metrics/{{part}}.parquet",
        part_stated=f"{ARCHIVE}/stated/{{part}}.parquet",
    params:
        method=RUN.method("gather_figures"),
    priority: 2
    run:
        RUN.perform("gather_figures", input, output)


rule gather_episodes:
    input:
        found=OF_SESSIONS.of_part(f"{SESSION}/episodes.parquet"),
        courses=OF_SESSIONS.of_part(f"{SESSION}/courses.parquet"),
        sentences=OF_SESSIONS.of_part(f"{SESSION}/sentences.parquet"),
        consequences=OF_SESSIONS.of_part(f"{SESSION}/consequences.parquet"),
    output:
        part_found=f"{ARCHIVE}/episodes/{{part}}.parquet",
        part_courses=f"{ARCHIVE}/courses/{{part}}.parquet",
        part_sentences=f"{ARCHIVE}/sentences/{{part}}.parquet",
        part_consequences=f"{ARCHIVE}/consequences/{{part}}.parquet",
    params:
        method=RUN.method("gather_episodes"),
    run:
        RUN.perform("gather_episodes", input, output)


rule gather_published:
    input:
        described=f"{PART}/sessions.json",
        part_whole=f"{PART}/whole_sessions.parquet",
        part_stated=f"{ARCHIVE}/stated/{{part}}.parquet",
        part_sentences=f"{ARCHIVE}/sentences/{{part}}.parquet",
        part_consequences=f"{ARCHIVE}/consequences/{{part}}.parquet",
    output:
        part_published=f"{PART}/published.parquet",
    params:
        method=RUN.method("gather_published"),
    run:
        RUN.perform("gather_published", input, output)


rule data_part:
    input:
        tables=[f"{ARCHIVE}/{table}/{{part}}.parquet" for table in IN_PARTS],
    output:
        values=[f"{DATA}/{table}/{{part}}.csv" for table in IN_PARTS],
    params:
        method=RUN.method("data_part"),
    run:
        RUN.perform("data_part", input, output)
