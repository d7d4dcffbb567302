"""Geometry tables published elsewhere: read by their headings and units, completed, compared."""
