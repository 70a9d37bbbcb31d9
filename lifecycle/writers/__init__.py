"""An answer written to a page, a PDF, a workbook, a calendar; writers have no words of their own."""
