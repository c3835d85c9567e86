"""Clean tables to odometer curves, positions and lives."""
