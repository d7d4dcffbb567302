"""Quotes in the database: written, read, found, exported, erased."""
