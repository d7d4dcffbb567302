"""Bicycle geometry: every figure of one exact build, computed and never looked up.

Lengths are millimetres, angles degrees, masses kilograms, forces newtons at
every public edge. Side view from the drive side: x forward, y up, z to the
rider's right, origin at the bottom bracket (BB) centre; a positive rotation
lifts the front. One function serves one build and arrays of builds. The package
needs NumPy and the standard library only, and touches no file, database or web.
"""
