"""``env.py`` runs inside Alembic only, so nothing is collected from it."""

collect_ignore = ["env.py"]
