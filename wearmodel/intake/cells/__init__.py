"""Files, workbooks and databases to cells of text, within bounds."""
