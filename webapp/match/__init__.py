"""The builds nearest to a position, among all there can be of a model."""
