"""What is watched of the running service: that it lives, what it answers, and how fast."""
