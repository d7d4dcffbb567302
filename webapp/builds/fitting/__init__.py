"""Step 3: whether the parts go together: rules between parts, and computed checks."""
