"""Revisions: drafts, the grid of sizes, undo, table check, publishing."""
