# Needs: inbox/<session>/<export> and, where there is one, its session.yaml.
# Makes: the samples of each file, what the session consists of, and the heart rate of each of its
# recordings in UTC.


# What is read of the inbox is a parameter, by its content: times of files do not tell (see
# strapline.reading.inbox.raw_files). Its name may hold a person's: Snakemake is told a hash of it.
rule parse:
    output:
        samples=f"{RAW}.parquet",
        beats=f"{RAW}.beats.parquet",
    params:
        method=method("parse"),
        files=lambda w: hashed([str(path) for path in files_of(w)]),
        hints=hints_of,
    run:
        export = str(files_of(wildcards)[0])
        content = CONTENTS[Path(export)]
        facts = {"export": export, "content": content, "hints": params.hints}
        perform("parse", input, output, raw=[export], **facts)


rule intake:
    input:
        samples=of_raw_files(f"{RAW}.parquet"),
        beats=of_raw_files(f"{RAW}.beats.parquet"),
    output:
        intake=f"{SESSION}/intake.json",
        draft=f"{SESSION}/session.draft.yaml",
    params:
        method=method("intake"),
        card=lambda w: canonical([str(card) for card in cards_of(w)]),
        content=lambda w: canonical([CONTENTS[card] for card in cards_of(w)]),
        files=lambda w: hashed([(str(path), CONTENTS[path]) for path in exports_of(w)]),
        title=lambda w: INBOX.sessions[w.session].title,
        register=devices_of,
    run:
        facts = {"title": params.title, "register": params.register}
        perform("intake", input, output, **sources_of(wildcards), **facts)


rule normalise:
    input:
        samples=of_raw_files(f"{RAW}.parquet"),
        beats=of_raw_files(f"{RAW}.beats.parquet"),
        intake=f"{SESSION}/intake.json",
    output:
        recordings=f"{SESSION}/recordings.parquet",
        channels=f"{SESSION}/channels.parquet",
    params:
        method=method("normalise"),
    run:
        perform("normalise", input, output)
