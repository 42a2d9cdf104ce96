"""A program played on its declared bed: data and one self-contained page, without opening a file."""
