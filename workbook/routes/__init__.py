"""Each spreadsheet program's way of calling the functions."""
