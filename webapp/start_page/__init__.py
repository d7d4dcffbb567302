"""The start page: the frames built here, and the one question that leads to a size."""
