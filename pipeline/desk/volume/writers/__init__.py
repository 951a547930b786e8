"""The volume on paper (``book``) and as a site (``site``); ``words`` is what both say."""
