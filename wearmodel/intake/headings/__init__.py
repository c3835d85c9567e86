"""Which column of a shop's table is which canonical column."""
