"""What became of riders and bikes: recorded at the counter, learnt from in the office."""
