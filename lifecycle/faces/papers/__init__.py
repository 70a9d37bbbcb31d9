"""Papers to take home: what stands on each as data, and that data as a page and as a PDF.

Lecture
-------
A paper is a `sheet.Sheet`: headings, sentences, lists, tables, drawings. `html.as_html` and `pdf.as_pdf`
write any sheet; what a sheet says is made elsewhere, once, so that page and PDF cannot say two things.
Nothing here opens a file or asks for the time.
"""
