"""Bench checks: a built bike's readings against its drawing, and their records."""
