# Needs: inbox/<session>/<export> and, where there is one, its session.yaml.
# Makes: the samples of each file, what the session consists of, and the heart rate of each of its
# recordings in UTC.


# What is read of the inbox is a parameter, by its content: times of files do not tell (see
# strapline.reading.inbox.raw_files).
rule parse:
    output:
        samples=f"{RAW}.parquet",
        beats=f"{RAW}.beats.parquet",
    params:
        method=RUN.method("parse"),
        files=OF_SESSIONS.copies_hashed,
        hints=OF_SESSIONS.hints,
    run:
        RUN.perform("parse", input, output, hints=params.hints, **OF_SESSIONS.export(wildcards))


rule intake:
    input:
        samples=OF_SESSIONS.of_raw_files(f"{RAW}.parquet"),
        beats=OF_SESSIONS.of_raw_files(f"{RAW}.beats.parquet"),
    output:
        intake=f"{SESSION}/intake.json",
        draft=f"{SESSION}/session.draft.yaml",
    params:
        method=RUN.method("intake"),
        card=OF_SESSIONS.card,
        files=OF_SESSIONS.exports_hashed,
        title=OF_SESSIONS.title,
        register=OF_SESSIONS.devices,
        wearer=OF_SESSIONS.wearer_hashed,
    run:
        facts = {"title": params.title, "register": params.register}
        RUN.perform("intake", input, output, **OF_SESSIONS.sources(wildcards), **facts)


rule normalise:
    input:
        samples=OF_SESSIONS.of_raw_files(f"{RAW}.parquet"),
        beats=OF_SESSIONS.of_raw_files(f"{RAW}.beats.parquet"),
        intake=f"{SESSION}/intake.json",
    output:
        recordings=f"{SESSION}/recordings.parquet",
        channels=f"{SESSION}/channels.parquet",
    params:
        method=RUN.method("normalise"),
    run:
        RUN.perform("normalise", input, output)
