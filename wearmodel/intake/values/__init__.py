"""Text cells to dates, numbers and names."""
