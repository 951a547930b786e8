"""The retuning sheet of a concert: who shares an instrument, which strings move, the page and the listing."""
