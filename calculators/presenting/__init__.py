"""The one renderer: forms, results, tables and charts as HTML, plain text and data."""
