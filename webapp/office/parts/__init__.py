"""Parts of every kind: listing, editing, and CSV files in and out."""
