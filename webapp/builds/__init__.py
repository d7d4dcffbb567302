"""The build page and everything that is computed, checked and priced for one build."""
