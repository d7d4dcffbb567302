"""Small drawings: how to measure a body or a bike, what was measured, and charts of ranges and
trades.
"""
