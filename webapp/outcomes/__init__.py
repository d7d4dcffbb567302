"""Outcomes: what riders said of their bikes, recorded at the counter, evaluated in the office."""
