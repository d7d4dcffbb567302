"""The rider on one build: posture, and how it is shown."""
