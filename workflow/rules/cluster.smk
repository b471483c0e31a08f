# Needs: a profile such as profiles/slurm, and a folder that all nodes of the cluster see.
# Makes: what a plain run makes, but each share of the sessions by a plain run of its own on some
# node, with warm workers there; then, by one more, the archive and all that a share left out.
#
# Snakemake's own groups are no way to do this: in a group, each step starts Snakemake anew.

SHARE = int(config.get("sessions_a_share", 100))
SHARES = RUN.shares(SHARE)


rule share:
    output:
        done=touch(f"{RESULTS}/shares/{{share}}"),
    params:
        snakemake=RUN.process.command,
        run=lambda wildcards: RUN.of_its_own(
            config, of_sessions(FINISHED, SHARES[wildcards.share])
        ),
    threads: 8
    shell:
        "{params.snakemake} --cores {threads} {params.run}"


# Whether a session is up to date is for the runs to find out, so every share is run every time.
rule cluster:
    input:
        shares=expand(rules.share.output.done, share=SHARES),
    params:
        snakemake=RUN.process.command,
        run=RUN.of_its_own(config),
    threads: 8
    shell:
        "rm -f {input:q} && {params.snakemake} --cores {threads} {params.run}"
