"""Measuring a rider at the counter, on the way to a quote."""
