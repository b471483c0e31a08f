"""Where a published figure comes from: its rows, its samples, and the figure once more."""
