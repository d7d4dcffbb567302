"""Which riders the sizes fit, and how many of each size to make."""
