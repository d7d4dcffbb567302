"""Geometry tables published elsewhere: read with their own headings and units, completed, compared.
"""
