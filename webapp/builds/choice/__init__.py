"""Step 1: what was chosen, as one value with one address."""
