"""Where the mass is, what each wheel carries of it, and when a wheel lifts."""
