"""Dimensions of a drawing: their lines, the room their texts take, and the places these find."""
