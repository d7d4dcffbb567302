"""Whom the sizes serve, and how many of each size to make."""
