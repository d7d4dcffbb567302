"""The drive, the post and the bottles of a build: in words, in tables, and a page of their own."""
