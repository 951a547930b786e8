"""How two encodings of a piece differ in music: their content, the differences, the page and the listing."""
