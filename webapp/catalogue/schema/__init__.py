"""The validated data classes of frames, parts and shop settings."""
