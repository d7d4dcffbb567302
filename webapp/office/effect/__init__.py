"""What a draft would change in every build that can be ordered and in open quotes."""
