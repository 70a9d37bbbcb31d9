"""What people see: words, tables, charts, pages and the command line."""
