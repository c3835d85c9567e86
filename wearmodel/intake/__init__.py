"""Shop tables to clean canonical tables and set-aside rows."""
