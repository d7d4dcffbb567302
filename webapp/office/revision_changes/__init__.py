"""What changed between two revisions."""
