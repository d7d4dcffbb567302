"""Step 4: changes that would make a build, or one check of it, clear."""
