"""The web service: one package a job, on a shared ground (see DEVELOPERS.md)."""
