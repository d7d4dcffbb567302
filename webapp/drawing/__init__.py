"""Working drawings in SVG, from points and figures the solver has computed."""
