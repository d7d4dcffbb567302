"""Monitoring of the running service: health answers, figures, logs, and layers that count and
limit requests.
"""
