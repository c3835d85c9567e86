"""What the wording of a repair line says."""
