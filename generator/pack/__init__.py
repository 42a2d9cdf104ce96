"""Sheets as PDF files, for a folder, a printer or a wall without a browser. Needs the extra `pack` (WeasyPrint)."""
