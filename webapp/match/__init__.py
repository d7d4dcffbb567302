"""The builds of a model nearest to a position, among all that are possible."""
