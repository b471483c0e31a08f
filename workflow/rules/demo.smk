# Needs: config/demo/, an invented bench.
# Makes: its exports, as from the devices' own apps, and the whole report over them.

DEMO = f"{RESULTS}/demo"
DEMO_CONFIG = RUN.config / "demo"


rule demo_inbox:
    input:
        bench=f"{DEMO_CONFIG}/bench.yaml",
    output:
        inbox=directory(f"{DEMO}/inbox"),
    params:
        method=code_of("strapline.demo.__main__"),
        python=RUN.process.python,
    threads: workflow.cores
    shell:
        "{params.python:q} -m strapline.demo {output.inbox:q} --bench {input.bench:q}"
        " --processes {threads}"


OF_DEMO = {
    "inbox": f"{DEMO}/inbox",
    "results": DEMO,
    "gone": "yes",
    "settings": DEMO_CONFIG / "settings.yaml",
    "devices": DEMO_CONFIG / "devices.yaml",
}


# A run of its own, over another inbox and into a folder of its own, which it locks itself.
rule demo:
    input:
        inbox=f"{DEMO}/inbox",
    params:
        snakemake=RUN.process.command,
        config=RUN.of_its_own(OF_DEMO),
    threads: workflow.cores
    shell:
        "{params.snakemake} --cores {threads} {params.config}"


rule publish_demo:
    input:
        inbox=f"{DEMO}/inbox",
    params:
        snakemake=RUN.process.command,
        config=RUN.of_its_own(OF_DEMO, ["publish"]),
    threads: workflow.cores
    shell:
        "{params.snakemake} --cores {threads} {params.config}"
