# Needs: a session's normalised recordings and what it consists of.
# Makes: clock decisions, the aligned grid, every figure with its ledger, episodes, consequences,
# charts, what was read of screenshots, the page.

rule align:
    input:
        intake=f"{SESSION}/intake.json",
        recordings=f"{SESSION}/recordings.parquet",
        channels=f"{SESSION}/channels.parquet",
    output:
        clocks=f"{SESSION}/alignment.json",
        aligned=f"{SESSION}/aligned.parquet",
        offsets=f"{SESSION}/offsets.parquet",
    params:
        method=RUN.method("align"),
    run:
        RUN.perform("align", input, output)


rule measure:
    input:
        intake=f"{SESSION}/intake.json",
        recordings=f"{SESSION}/recordings.parquet",
        clocks=f"{SESSION}/alignment.json",
        aligned=f"{SESSION}/aligned.parquet",
    output:
        metrics=f"{SESSION}/metrics.parquet",
        ledger=f"{SESSION}/ledger.json",
        stated=f"{SESSION}/stated.parquet",
        differences_table=f"{SESSION}/differences.parquet",
    params:
        method=RUN.method("measure"),
    run:
        RUN.perform("measure", input, output)


rule episodes:
    input:
        intake=f"{SESSION}/intake.json",
        channels=f"{SESSION}/channels.parquet",
        clocks=f"{SESSION}/alignment.json",
        aligned=f"{SESSION}/aligned.parquet",
    output:
        found=f"{SESSION}/episodes.parquet",
        courses=f"{SESSION}/courses.parquet",
        sentences=f"{SESSION}/sentences.parquet",
    params:
        method=RUN.method("episodes"),
    run:
        RUN.perform("episodes", input, output)


rule consequences:
    input:
        intake=f"{SESSION}/intake.json",
        aligned=f"{SESSION}/aligned.parquet",
    output:
        consequences=f"{SESSION}/consequences.parquet",
    params:
        method=RUN.method("consequences"),
    run:
        RUN.perform("consequences", input, output)


rule chart:
    input:
        intake=f"{SESSION}/intake.json",
        aligned=f"{SESSION}/aligned.parquet",
        metrics=f"{SESSION}/metrics.parquet",
        clocks=f"{SESSION}/alignment.json",
        offsets=f"{SESSION}/offsets.parquet",
        episodes=f"{SESSION}/episodes.parquet",
        courses=f"{SESSION}/courses.parquet",
        sentences=f"{SESSION}/sentences.parquet",
        consequences=f"{SESSION}/consequences.parquet",
    output:
        charts=directory(f"{SESSION}/charts"),
    params:
        method=RUN.method("chart"),
        bench=OF_SESSIONS.bench,
    run:
        RUN.perform("chart", input, output, bench=params.bench)


rule screen:
    output:
        screen=f"{SESSION}/screens/{{raw}}.png",
    params:
        method=RUN.method("screen"),
        files=OF_SESSIONS.copies_hashed,
        hints=OF_SESSIONS.hints,
    run:
        RUN.perform("screen", input, output, hints=params.hints, **OF_SESSIONS.export(wildcards))


rule session_page:
    input:
        intake=f"{SESSION}/intake.json",
        clocks=f"{SESSION}/alignment.json",
        metrics=f"{SESSION}/metrics.parquet",
        ledger=f"{SESSION}/ledger.json",
        stated=f"{SESSION}/stated.parquet",
        offsets=f"{SESSION}/offsets.parquet",
        aligned=f"{SESSION}/aligned.parquet",
        courses=f"{SESSION}/courses.parquet",
        sentences=f"{SESSION}/sentences.parquet",
        consequences=f"{SESSION}/consequences.parquet",
        charts=f"{SESSION}/charts",
        screens=OF_SESSIONS.of_screens(f"{SESSION}/screens/{{raw}}.png"),
    output:
        **in_report(OF_SESSION),
    params:
        method=RUN.method("session_page"),
    run:
        firsts = [input.intake, input.clocks, input.metrics]
        RUN.perform("session_page", input, output, made_with=RUN.made_with(*firsts))
