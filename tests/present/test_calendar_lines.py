"""Lines are folded as the calendar library folds them, and read back as they were."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st
from icalendar import Event
from icalendar.parser import Contentline

from scheduler.present.calendar import content_lines
from scheduler.present.calendar_lines import MAX_OCTETS, folded, unfolded

LETTERS = st.characters(exclude_categories=["Cc", "Cs"]) | st.sampled_from("\\^,;n 日é👩")


@given(st.text(LETTERS, max_size=400))
@example("x" * 74)
@example("x" * 75)
@example("x" * 73 + "\\n" + "y" * 200)
@example("x" * 72 + "\\\\n" + "y" * 200)
@example("x" * 73 + "é" * 60)
@example("日" * 300)
def test_folding(text: str) -> None:
    """Against the library (icalendar 7.3), letter by letter: the same places; no line is too long."""
    line = f"SUMMARY:{text}"
    data = folded([line])
    assert data == Contentline(line).to_ical() + b"\r\n"
    assert all(len(one) <= MAX_OCTETS for one in data.split(b"\r\n"))
    assert [found for _, found in unfolded(data)] == [line]


def test_a_component_is_written_as_by_the_library() -> None:
    """But for a backslash before an N, of which the library makes a line break."""
    text = b'BEGIN:VEVENT\r\nSUMMARY:a\\, b\\; c\\nd\r\nX-MINE;X-P=1:a,b;c\\nd\r\nDTSTART;TZID=Mars/Dome:20270101T090000\r\nATTENDEE;CN="A, B":mailto:a@example.org\r\nBEGIN:VALARM\r\nTRIGGER:-PT5M\r\nEND:VALARM\r\nEND:VEVENT\r\n'
    read = Event.from_ical(text)
    assert folded(content_lines(read)) == read.to_ical()
    event = Event()
    event.add("summary", "C:\\New, \\\\N and \\n")
    assert (
        folded(content_lines(event))
        == b"BEGIN:VEVENT\r\nSUMMARY:C:\\\\New\\, \\\\\\\\N and \\\\n\r\nEND:VEVENT\r\n"
    )
