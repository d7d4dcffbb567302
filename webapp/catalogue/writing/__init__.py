"""Changing the catalogue: validated writes, each remembered in the change log."""
