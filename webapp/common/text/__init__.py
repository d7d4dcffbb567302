"""Values as people read and write them: money, units, sentences."""
