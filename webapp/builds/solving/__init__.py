"""Step 2: from the chosen parts to the solver's inputs and the build's figures."""
