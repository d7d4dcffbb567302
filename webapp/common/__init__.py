"""What every package of the service stands on: settings, database, security, units, money."""
