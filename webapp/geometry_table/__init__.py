"""The published geometry table: every size of one build."""
