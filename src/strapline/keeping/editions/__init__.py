"""What was published when, what moved since, and why."""
