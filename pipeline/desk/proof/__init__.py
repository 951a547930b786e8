"""The proof page: where each sign is typed, what is heard, what the editor did, and the page that links them.

The drawings lie in the page as data, put in byte for byte by ``html.page(blocks=…)``. A sheet is drawn when it comes
near, in a shadow tree of its own, so no id or style of a drawing meets another. The text is plain lines; a line is
cut into signs when it is looked at. Names are those of the documents: ``b3e2c5`` leads to ``t-``, ``n-`` (and the
notes tied to it), events to ``g-``, bars to ``m``; signs that do not sound are ``b3e2u1`` (drawn) and ``b3e2x1``
(left out), as in the apparatus. ``writers/facts.py`` says how the script's facts are packed.

A page made with ``Options.live`` loads ``stamp.js`` beside it every 120 ms; the file calls ``longneckStamp("HASH")``,
and another hash than the first reloads the page; an empty one says that the watch has ended. View, size, chosen sign,
filters, panes and what is looked at are kept over it in ``sessionStorage``, by what bars hold. Other pages do none of
that, and their policy lets no script load: only the page's own runs, by its hash.

``reading/`` is proof-reading as work. A bar is known by a hash of its typing (``contents.py``); the browser keeps which
are read and the notes, the page saves them as ``PIECE.read.json``, and a build takes that file in beside the text: it
is part of the key of the cache, and ``progress.json`` beside the edition tells the index how far the reading is.

Images are named by number (``facsimile-001.jpg``), so no name typed becomes a name written; they are not sent to
workers, only what is known of them, and are copied on this side.
"""
