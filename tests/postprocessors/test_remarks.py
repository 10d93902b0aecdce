"""Free text: what it becomes, and that nothing in it can act."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from postprocessors.remarks import LINE_WIDTH, comment_texts, plain


@pytest.mark.parametrize(
    ("text", "ascii_text"),
    [
        pytest.param("Prüfstück für Größe", "Prufstuck fur Grosse", id="accents"),
        pytest.param("Ø90,4 ±0,02 at 45°", "dia 90,4 +-0,02 at 45 deg", id="drawing-signs"),
        pytest.param("½ in × 3″", '1/2 in x 3"', id="fraction-and-inches"),
        pytest.param("тест", "????", id="no-ascii-spelling"),
        pytest.param("a\tb\r\nc\x00d\u2028e", "a b c d e", id="line-ends-and-control-characters"),
        pytest.param("  ", "", id="blank"),
    ],
)
def test_plain(text, ascii_text):
    assert plain(text) == ascii_text


@pytest.mark.parametrize(
    ("text", "comments"),
    [
        pytest.param("", (), id="empty-writes-nothing"),
        pytest.param("end) G00 X0 (", ("end] G00 X0 [",), id="closing-bracket"),
        pytest.param("full-width ）", ("full-width ]",), id="bracket-hidden-by-its-width"),
        pytest.param("one\nM30", ("one M30",), id="line-end"),
        pytest.param("50% ; M30", ("50 pct , M30",), id="percent-and-semicolon"),
        pytest.param("MSG, hello", ("MSG - hello",), id="operator-message"),
        pytest.param("m s g , hello", ("m s g - hello",), id="operator-message-in-disguise"),
        pytest.param("debug, #1", ("debug - #1",), id="other-active-comment"),
        pytest.param("probeopen a.txt", ("- probeopen a.txt",), id="word-that-opens-a-file"),
        pytest.param("Pump engine, 4 pistons", ("Pump engine, 4 pistons",), id="two-words-are-no-order"),
        pytest.param("x" * 100, ("x" * 68, "x" * 32), id="long-word"),
        pytest.param("x" * 60 + " insert-centre", ("x" * 60, "insert-centre"), id="no-break-at-a-hyphen"),
    ],
)
def test_comment_texts(text, comments):
    assert comment_texts(text) == comments


@given(st.text())
def test_no_text_can_leave_its_comment(text):
    for line in comment_texts(text):
        assert line.isascii()
        assert line.isprintable()
        assert 1 <= len(line) <= LINE_WIDTH - 2
        assert not set(line) & set("()%;")
        assert not line.upper().replace(" ", "").startswith("MSG,")


@given(st.lists(st.sampled_from(["MSG,", "M", "S", "G,", "a" * 60, "word", ","])).map(" ".join))
def test_no_wrapped_line_becomes_a_message(text):
    assert not any(line.upper().replace(" ", "").startswith("MSG,") for line in comment_texts(text))
