"""Invented frames, builds, riders and sizes, which doctests, tests and calibration build on."""
