"""Which size suits a rider, how sure that is, and how the rider sits on a build."""
