# Needs: a profile such as profiles/slurm, and a folder that all nodes of the cluster see.
# Makes: what a plain run makes, but each share of the sessions by a plain run of its own on some
# node, with warm workers there; then, by one more, the archive and all that a share left out.
#
# Snakemake's own groups are no way to do this: in a group, each step starts Snakemake anew.

SHARE = int(config.get("sessions_a_share", 100))
SHARES = RUN.shares(SHARE)


# The profile has one that fails sent again, alone. Typed again after one failed for good, the run
# sends those again that were not done, or whose sessions or method changed since.
rule share:
    output:
        done=touch(f"{RESULTS}/shares/{{share}}"),
    params:
        snakemake=RUN.process.command,
        run=lambda wildcards: RUN.of_its_own(
            config | {"share": f"share-{wildcards.share}"},
            of_sessions(FINISHED, SHARES[wildcards.share]),
        ),
        method=RUN.all_methods,
    threads: 8
    shell:
        "{params.snakemake} --cores {threads} {params.run}"


# What is not sent is up to date, or done by this last run.
rule cluster:
    input:
        shares=expand(rules.share.output.done, share=RUN.with_work(SHARES)),
    params:
        done=f"{RESULTS}/shares",
        snakemake=RUN.process.command,
        run=RUN.of_its_own(config | {"share": "archive"}),
    threads: 8
    shell:
        "rm -rf {params.done:q} && {params.snakemake} --cores {threads} {params.run}"
