"""A published table from elsewhere: read in its own words and units, completed, and compared."""
