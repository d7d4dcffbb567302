"""One register of the serial numbers stamped into frames, for bench, quotes and hand-over."""
