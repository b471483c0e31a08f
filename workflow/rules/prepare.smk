# Needs: inbox/<session>/<export> and, where there is one, its session.yaml.
# Makes: each recording's heart rate in UTC, and what the session consists of.


rule parse:
    input:
        export=lambda w: str(INBOX.sessions[w.session].exports[w.recording]),
    output:
        samples=f"{RECORDING}.parsed.parquet",
        beats=f"{RECORDING}.beats.parquet",
    params:
        method=method("parse"),
        hints=hints_of,
    run:
        perform("parse", input, output, hints=params.hints)


rule intake:
    input:
        samples=of_recordings(f"{RECORDING}.parsed.parquet"),
        beats=of_recordings(f"{RECORDING}.beats.parquet"),
        card=lambda w: [str(card) for card in [INBOX.sessions[w.session].card] if card],
    output:
        intake=f"{SESSION}/intake.json",
        draft=f"{SESSION}/session.draft.yaml",
    params:
        method=method("intake"),
        title=lambda w: INBOX.sessions[w.session].title,
        register=devices_of,
    run:
        perform(
            "intake",
            input,
            output,
            session=wildcards.session,
            title=params.title,
            register=params.register,
        )


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
