"""The project's own glyphs: drawings, the pen that inks them, and the font file made from both."""
