# Strapline: raw exports of heart-rate test sessions in, findings that can be defended out.
#
#   snakemake            everything in inbox/ -> results/report/index.html
#   snakemake sessions   the same without what is said over all of them
#   snakemake publish    what is to be published -> results/publish/
#   snakemake demo       the report of an invented bench, in results/demo/
#   snakemake publish_demo   what is to be published of it
#   snakemake cluster    the first on a cluster's nodes; see DEVELOPERS.md
#   snakemake -n         what would be redone, and why

from snakemake.utils import min_version

min_version("9.27")

include: "workflow/rules/common.smk"


localrules:
    all,
    sessions,
    publish,
    demo,
    publish_demo,


rule all:
    default_target: True
    input:
        of_sessions(FINISHED, RUN.settling.unsettled),
        SHARED,
        OF_REPORT,
        expand(f"{ARCHIVE}/{{table}}.parquet", table=PUBLIC),
        f"{ARCHIVE}/figures.csv",
        in_parts(*IN_PARTS),
        expand(f"{DATA}/{{table}}/{{part}}.csv", table=IN_PARTS, part=PARTS),


# Without the archive, so that a first run over many thousands can be done in batches.
rule sessions:
    input:
        of_sessions(PAGE),
        SHARED,


include: "workflow/rules/prepare.smk"
include: "workflow/rules/compare.smk"
include: "workflow/rules/gather.smk"
include: "workflow/rules/archive.smk"
include: "workflow/rules/editions.smk"
include: "workflow/rules/publish.smk"
include: "workflow/rules/demo.smk"
include: "workflow/rules/cluster.smk"


onstart:
    RUN.begin_jobs()


onsuccess:
    print(RUN.summary(demo=DEMO, publish=PUBLISH))


onerror:
    print(RUN.failure(log))
