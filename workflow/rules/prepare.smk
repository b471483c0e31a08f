# Needs: inbox/<session>/<export> and, where there is one, its session.yaml.
# Makes: each recording's heart rate in UTC, and what the session consists of.


# What is read of the inbox is a parameter, with its content: times of files do not tell (see
# strapline.session.raw_files).
rule parse:
    output:
        samples=f"{RECORDING}.parsed.parquet",
        beats=f"{RECORDING}.beats.parquet",
    params:
        method=method("parse"),
        export=lambda w: str(INBOX.sessions[w.session].exports[w.recording]),
        content=lambda w: CONTENTS[INBOX.sessions[w.session].exports[w.recording]],
        hints=hints_of,
    run:
        perform(
            "parse",
            input,
            output,
            raw=[params.export],
            export=params.export,
            content=params.content,
            hints=params.hints,
        )


rule intake:
    input:
        samples=of_recordings(f"{RECORDING}.parsed.parquet"),
        beats=of_recordings(f"{RECORDING}.beats.parquet"),
    output:
        intake=f"{SESSION}/intake.json",
        draft=f"{SESSION}/session.draft.yaml",
    params:
        method=method("intake"),
        card=lambda w: canonical([str(card) for card in cards_of(w)]),
        content=lambda w: canonical([CONTENTS[card] for card in cards_of(w)]),
        title=lambda w: INBOX.sessions[w.session].title,
        register=devices_of,
    run:
        cards = list(map(str, cards_of(wildcards)))
        facts = {"title": params.title, "register": params.register}
        perform("intake", input, output, raw=cards, card=cards, session=wildcards.session, **facts)


rule normalise:
    input:
        samples=f"{RECORDING}.parsed.parquet",
        beats=f"{RECORDING}.beats.parquet",
        intake=f"{SESSION}/intake.json",
    output:
        normalised=f"{RECORDING}.parquet",
    params:
        method=method("normalise"),
    run:
        perform("normalise", input, output, recording=wildcards.recording)
