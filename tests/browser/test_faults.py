"""Which test shows that a fault found at the desk is mended: each by the words in which it was reported.

The names are looked for in the files, so that no test can go, or change its name, without this list.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

HERE = Path(__file__).parent
DESK = "test_at_the_desk"
FAULTS = {
    "what was just clicked turns white on pale": (
        f"{DESK}::test_what_is_pressed_or_chosen_keeps_its_colours_under_the_mouse"
    ),
    "“Source” opens at the wrong folio and does not follow play": (
        f"{DESK}::test_the_source_opens_at_the_folio_of_the_bar_and_follows_what_is_heard"
    ),
    "#b12 opens bar 10 in a piece with an upbeat and endings": f"{DESK}::test_b12_is_the_bar_with_that_number_in_print",
    "f, F, h ignore where you are": f"{DESK}::test_keys_walk_the_lists_from_where_one_is",
    "zoom loses the chosen sign": f"{DESK}::test_zooming_keeps_the_chosen_sign_in_its_place",
    "compare prints with its second column cut": "test_comparison::test_on_paper_both_columns_stand_whole",
    "folio captions part from images, inherited headings print folded": (
        f"{DESK}::test_on_paper_nothing_is_folded_and_captions_stand_by_their_images"
    ),
    "proof.html#% throws": f"{DESK}::test_an_address_that_means_nothing_does_no_harm",
    "a retuning within a piece is told twice, once as heading": "../desk/test_compare::test_a_retuning_on_the_way",
    "watch loses its place when a file is saved empty or bars are inserted above": (
        "test_watch::test_a_page_keeps_its_place_over_an_empty_save_and_when_bars_come_above"
    ),
    "watch says nothing when it has ended": "test_watch::test_a_page_says_when_the_watch_has_ended",
    "long words push columns and buttons out": f"{DESK}::test_a_long_word_pushes_nothing_out",
    "findings of the reading say a line without the bar": f"{DESK}::test_findings_say_their_bar",
    "empty tabs and zeros are noise": f"{DESK}::test_tabs_with_nothing_in_them_are_not_shown",
    "the proposed --accept line works only from the collection’s top": (
        "../cli/test_propose::test_a_piece_is_found_from_the_top_of_the_collection"
    ),
    "“Other octave” is silent": f"{DESK}::test_one_sign_both_octaves_and_a_loop_are_heard",
    "from compare no click leads into the proof pages": "test_comparison::test_a_click_leads_into_both_proof_pages",
    "on a telephone the two readings stand beside each other": (
        "test_comparison::test_on_a_telephone_the_two_stand_under_each_other"
    ),
    "compare and verify have no way back": ("test_comparison::test_every_page_leads_back_to_all_pieces"),
    "Back does not go back": f"{DESK}::test_back_goes_back",
    "scripts are allowed by unsafe-inline": "test_live::test_other_pages_never_ask",
    "marks in the browser and in the file are chosen between in silence": (
        f"{DESK}::test_marks_of_the_browser_and_of_the_file_are_never_chosen_between_in_silence"
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_test_of_each_fault_is_there(fault: str) -> None:
    file, name = FAULTS[fault].split("::")
    tree = ast.parse((HERE / f"{file}.py").read_text(encoding="utf-8"))
    assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}
