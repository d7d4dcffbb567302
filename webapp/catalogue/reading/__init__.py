"""Reading the catalogue: cached views without database rows."""
