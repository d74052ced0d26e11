"""Every caution that a sequence may name is put into words for the operator."""

import re

import pytest

from player.cautions import SENTENCES, TO_DO
from sequences.model import CAUTIONS


def test_every_caution_of_the_grammar_has_its_sentences_and_no_other_has():
    assert SENTENCES.keys() == CAUTIONS.keys() == TO_DO.keys()


def test_the_grammar_knows_flashing_patterns_and_bright_fields():
    assert {"flashing", "bright"} <= SENTENCES.keys()


@pytest.mark.parametrize("name", sorted(SENTENCES))
def test_a_caution_says_what_it_is_and_then_what_to_do(name: str):
    sentences = re.findall(r"[A-Z][^.]+\.", SENTENCES[name])
    assert len(sentences) == 2
    assert " ".join(sentences) == SENTENCES[name]


def test_the_flashing_caution_names_the_harm_and_asks_first():
    assert "photosensitive epilepsy" in SENTENCES["flashing"]
    assert "Ask everybody" in SENTENCES["flashing"]
