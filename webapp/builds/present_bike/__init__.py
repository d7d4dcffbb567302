"""The bike a rider has now: by its numbers, by a tape or as a build of ours; kept in an address."""
