"""All that touches Snakemake's own objects: nothing else here knows Snakemake."""
