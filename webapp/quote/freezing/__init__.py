"""What a quote says, frozen once from a computed build, and kept packed."""
