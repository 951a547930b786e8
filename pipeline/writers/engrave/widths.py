"""How wide text is: advance widths in thousandths of the type size.

The widths are those of the text face that the pages name first (Times New Roman, and Liberation Serif, which is made
to the same widths). They were read from the horizontal metrics of Liberation Serif 2.
"""

from __future__ import annotations

#: Width → the characters that have it, upright.
_UPRIGHT = {
    167: "⁄",
    180: "'",
    200: "|¦",
    219: "′",
    250: " ,.·",
    276: "ª",
    278: "/:;\\ijltìíîïĩīĭįıĵĺļłţŧſ",
    300: "²³¹",
    310: "º",
    333: "!()-I[]`fr¡¨´¸ÌÍÎÏĨĪĬĮİŕŗř‘’‹›",
    344: "ŀ",
    350: "•",
    389: "JsĴśŝşš",
    400: "°",
    406: "ľ",
    408: '"',
    417: "″",
    427: "ť",
    444: "?acez¿àáâãäåçèéêëāăąćĉċčēĕėęěźżž“”„",
    453: "¶",
    469: "^",
    480: "{}",
    495: "ŋ",
    500: "#$*0123456789_bdghknopquvxy¢£¤¥§«¯»ßðñòóôõöøùúûüýþÿđĝğġģĥħķĸńņňōŏőũūŭůűųŷ–†‡€↑↓",
    541: "~",
    549: "±÷",
    552: "ĳ",
    556: "FPSÞŚŜŞŠﬁﬂ",
    564: "+<=>¬×−",
    576: "µ",
    604: "ŉ",
    611: "ELTZÈÉÊËĒĔĖĘĚĹĻĽĿŁŢŤŦŹŻŽ",
    646: "ď",
    667: "BCRÇæĆĈĊČŔŖŘ",
    702: "Ŋ",
    708: "Ĳ",
    722: "ADGHKNOQUVXYwÀÁÂÃÄÅÐÑÒÓÔÕÖØÙÚÛÜÝĀĂĄĎĐĜĞĠĢĤĦĶŃŅŇŌŎŐœŨŪŬŮŰŲŵŶŸ",
    750: "¼½¾",
    760: "©®",
    778: "&m",
    833: "%",
    889: "MÆŒ",
    921: "@",
    944: "WŴ",
    1000: "—…‰←→",
}

_ITALIC = {
    167: "⁄",
    214: "'",
    219: "′",
    250: " ,.·",
    275: "|¦",
    276: "ª",
    278: "/\\fijltìíîïĩīĭįıĵĺļłţŧſ",
    300: "²³¹",
    310: "º",
    323: "ŀ",
    333: "!()-:;I`¨´¸ÌÍÎÏĨĪĬĮİ‘’‹›",
    350: "•",
    364: "ľť",
    389: "[]rsz¡ŕŗřśŝşšźżž",
    400: "{}°",
    417: "″",
    420: '"',
    422: "^",
    444: "JcekvxyçèéêëýÿćĉċčēĕėęěĴķĸŷ",
    482: "ŋ",
    500: ("#$*0123456789?S_abdghnopqu¢£¤¥§«¯»¿ßàáâãäåðñòóôõöøùúûüþāăąđĝğġģĥħĳńņňōŏőŚŜŞŠũūŭůűų–†‡€↑↓ﬁﬂ"),
    523: "¶",
    541: "~",
    549: "±÷",
    556: "LTYZÝĹĻĽĿŁŢŤŦŶŸŹŻŽ“”„",
    576: "µ",
    577: "ŉ",
    608: "ď",
    611: "ABEFPRVXÀÁÂÃÄÅÈÉÊËÞĀĂĄĒĔĖĘĚŔŖŘ",
    667: "CKNwÇÑæĆĈĊČĶŃŅŇœŵ",
    675: "+<=>¬×−",
    696: "Ŋ",
    722: "DGHOQUmÐÒÓÔÕÖØÙÚÛÜĎĐĜĞĠĢĤĦŌŎŐŨŪŬŮŰŲ",
    750: "¼½¾Ĳ",
    760: "©®",
    778: "&",
    833: "%MWŴ",
    889: "Æ—…",
    920: "@",
    944: "Œ",
    1000: "‰←→",
}

_BOLD = {
    167: "⁄",
    220: "|¦",
    250: " ,.·",
    278: "'/\\ilìíîïĩīĭįıĺļłſ",
    281: "′",
    300: "ª²³¹",
    330: "º",
    333: "!()-:;[]`fjt¡¨´¸ĵţŧ‘’‹›",
    350: "•",
    389: "IsÌÍÎÏĨĪĬĮİśŝşš",
    394: "{}",
    396: "ŀ",
    400: "°",
    444: "cerzçèéêëćĉċčēĕėęěŕŗřźżž",
    469: "ľ",
    500: "#$*0123456789?J_agovxy¢£¤¥§«¯»¿àáâãäåðòóôõöøýÿāăąĝğġģĴōŏőŷ–“”„†‡€↑↓",
    520: "~",
    521: "ť",
    540: "¶",
    549: "±÷",
    552: "ĳ″",
    555: '"',
    556: "SbdhknpqußñùúûüþđĥħķĸńņňŋŚŜŞŠũūŭůűųﬁﬂ",
    570: "+<=>¬×−",
    576: "µ",
    581: "^",
    611: "FPÞ",
    667: "BELTZÈÉÊËĒĔĖĘĚĹĻĽĿŁŢŤŦŹŻŽ",
    722: "ACDNRUVXYwÀÁÂÃÄÅÇÐÑÙÚÛÜÝæĀĂĄĆĈĊČĎĐŃŅŇœŔŖŘŨŪŬŮŰŲŵŶŸ",
    729: "ŉ",
    733: "ď",
    747: "©®",
    750: "¼½¾",
    769: "Ŋ",
    778: "GHKOQÒÓÔÕÖØĜĞĠĢĤĦĶŌŎŐ",
    823: "Ĳ",
    833: "&m",
    930: "@",
    944: "M",
    1000: "%WÆŒŴ—…‰←→",
}

#: Signs that the text face lacks and a reader's machine takes from elsewhere.
_BORROWED = {"♭": 400, "♯": 480, "♮": 400, "\u00a0": 250}
_USUAL = 520


def _table(groups: dict[int, str]) -> dict[str, int]:
    return {character: width for width, characters in groups.items() for character in characters} | _BORROWED


_TABLES = {"": _table(_UPRIGHT), "italic": _table(_ITALIC), "bold": _table(_BOLD)}


def text_width(text: str, size: float, style: str = "") -> float:
    """Width of a line of text in the unit of ``size``; ``style`` is empty, ``italic`` or ``bold``."""
    widths = _TABLES[style]
    return sum(widths.get(character, _USUAL) for character in text) * size / 1000
