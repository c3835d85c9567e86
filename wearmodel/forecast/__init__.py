"""Life model and fitted parts to demand, stock and budget."""
