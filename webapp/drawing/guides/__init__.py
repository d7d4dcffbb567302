"""Small drawings: how to measure a body or a bike, what was measured, and what trades for what."""
