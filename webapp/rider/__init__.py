"""A rider: the measurements given, the body that follows, its saddle height, a style's windows."""
