"""The cover sheet as a page for a browser and as one sheet of paper."""
