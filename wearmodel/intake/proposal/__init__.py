"""A fleet.toml proposed for a folder of raw exports."""
