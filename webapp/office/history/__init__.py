"""Who changed what and when, and the export of everything."""
