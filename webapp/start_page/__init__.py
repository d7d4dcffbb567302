"""The first screen: what is built here, and the one question that leads to a size."""
