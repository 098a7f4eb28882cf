"""Spreadsheets to rows: finds tables and headers, maps columns, counts every row."""
