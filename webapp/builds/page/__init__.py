"""Step 5: the build page and the drive page: form, rows, checks, drawing, routes."""
