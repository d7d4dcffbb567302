"""Who changed what and when, and taking everything out."""
