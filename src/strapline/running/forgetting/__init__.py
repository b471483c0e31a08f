"""One session taken away: all that was made of it, and nothing else."""
