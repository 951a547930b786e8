"""Tablature in MEI: ``tabGrp`` with course and fret, editorial markup, words, notes; from version 3 on."""

from pipeline.source.exchange.mei.piece import read_mei

__all__ = ["read_mei"]
