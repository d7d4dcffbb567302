"""Bench checks: measurements of a built bike compared with its drawing, and their records."""
