"""Data of an order after a quote was accepted: money, dates, the built bike."""
