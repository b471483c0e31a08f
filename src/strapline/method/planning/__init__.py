"""How many sessions a fair test takes, and who wears what on which wrist in each of them."""
