"""Keeping everything safe: backup and restore, export and import in open formats."""
