"""Life model to replacement intervals, comparison and remaining life."""
