"""The settings of fleet.toml."""
