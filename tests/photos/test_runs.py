"""Which tree a picture is of, by times and codes alone: what can't be told is asked."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from logbook.photographs.naming import Names
from logbook.photographs.runs import Code, Placed, Shot, named_tag, placed
from logbook.photographs.taken import Taken

NOON = datetime(2027, 5, 2, 12, 0)
TODAY = date(2027, 6, 1)


def shot(
    seconds: float, tag: str = "", *, camera: str = "A", clock: str = "camera", share: float = 0.2, **more: object
) -> Shot:
    codes = (Code(tag, share),) if tag else ()
    name = str(more.pop("name", f"P{int(seconds * 10):06d}.jpg"))
    return Shot(name, name, Taken(NOON + timedelta(seconds=seconds), clock, camera), codes, **more)  # type: ignore[arg-type]


def fates(*shots: Shot) -> list[tuple[str, str, str]]:
    return [(one.fate, one.tag, one.why) for one in placed(shots, TODAY)]


def test_a_tag_then_its_tree_until_the_next_tag() -> None:
    found = fates(shot(50, "015"), shot(60), shot(0, "014"), shot(10), shot(20))
    assert found == [("tag", "014", ""), *[("file", "014", "")] * 2, ("tag", "015", ""), ("file", "015", "")]


def test_before_any_tag_and_long_after_one_is_asked() -> None:
    found = fates(shot(0), shot(60, "014"), shot(60 + 20 * 60), shot(61 + 20 * 60))
    assert [f[0] for f in found] == ["ask", "tag", "file", "ask"]
    assert found[0][2] == "before" and found[3][1:] == ("014", "late")


def test_hours_apart_or_by_another_camera_is_left_alone() -> None:
    found = fates(shot(0), shot(7201, "014"), shot(7205), shot(7206, camera="B"), shot(7206 + 7201))
    assert sorted(f[0] for f in found) == ["file", "leave", "leave", "leave", "tag"]


def test_a_code_that_cannot_be_read_ends_the_tree_before() -> None:
    found = fates(shot(0, "014"), shot(5), shot(20, unread=True), shot(25), shot(60, "015"), shot(65))
    assert found[1][:2] == ("file", "014") and found[5][:2] == ("file", "015")
    assert found[2] == ("tag", "", "unread") and found[3] == ("ask", "", "unread")


def test_codes_of_others_and_of_two_trees_end_it_too() -> None:
    strange = Shot("S.jpg", "S", Taken(NOON + timedelta(seconds=9), "camera", "A"), (Code("", 0.3, "unknown"),))
    assert fates(shot(0, "014"), strange, shot(12))[1:] == [("tag", "", "unknown"), ("ask", "", "unknown")]
    both = Shot("S.jpg", "S", Taken(NOON + timedelta(seconds=9), "camera", "A"), (Code("014", 0.3), Code("015", 0.2)))
    assert fates(shot(0, "014"), both, shot(12))[1:] == [("tag", "", "two"), ("ask", "", "two")]


def test_a_tag_from_afar_is_a_view_of_its_own_tree_and_no_other() -> None:
    assert fates(shot(0, "014"), shot(5, "014", share=0.03), shot(9))[1:] == [("file", "014", "")] * 2
    found = fates(shot(0, "014"), shot(5, "015", share=0.03), shot(9))
    assert found[1:] == [("ask", "015", "far"), ("ask", "015", "far")]


def test_a_name_that_begins_with_a_tag() -> None:
    tags = {"014": "014", "100": "100"}
    names = {"014-front.jpg": "014", "014.jpg": "014", "014 (2).jpg": "014", "014_a.jpg": "014"}
    names |= {"0140.jpg": "", "P014.jpg": "", "100_0432.jpg": "", "20270502.jpg": "", "IMG_0014.jpg": ""}
    assert {name: named_tag(name, tags) for name in names} == names
    assert fates(shot(0, "015"), shot(4, named="014"))[1] == ("file", "014", "")
    assert fates(shot(0, "015", named="014"), shot(4)) == [("ask", "", "named"), ("ask", "", "named")]


def test_a_pause_like_those_between_trees_is_asked() -> None:
    usual = [shot(100 * n + s, f"{n:03d}" if s == 0 else "") for n in range(1, 6) for s in (0, 8, 16)]
    missed = [shot(600 + s) for s in (0, 8)]  # the sixth tree's tag was forgotten
    found = placed([*usual, *missed], TODAY)
    assert [one.why for one in found[-2:]] == ["pause", "pause"] and {one.fate for one in found[:-2]} == {
        "tag",
        "file",
    }


def test_where_nobody_knows_the_order_it_is_asked() -> None:
    copied = [shot(0, "014", clock="file", name="P2.jpg"), shot(3, clock="file", name="P1.jpg")]
    assert fates(*copied)[1] == ("ask", "014", "unsure")
    tied = [shot(0, "014", name="a1.jpg"), shot(0, name="b1.jpg")]
    assert fates(*tied)[1] == ("ask", "014", "unsure")
    day_alone = [shot(0, "014", clock="day", name="a1.jpg"), shot(0, clock="day", name="a2.jpg")]
    assert fates(*day_alone)[1] == ("ask", "014", "unsure")


def test_a_day_to_come_is_no_day() -> None:
    found = placed([shot(0, "014"), shot(5)], date(2027, 5, 1))
    assert [(one.fate, one.why) for one in found] == [("tag", ""), ("leave", "no day")]


def test_an_answer_settles_its_group() -> None:
    shots = [shot(0, unread=True), shot(4), shot(8), shot(60, "015"), shot(64)]
    asked = {one.group for one in placed(shots, TODAY) if one.fate == "ask"}
    assert asked == {"P000040.jpg"}
    found = placed(shots, TODAY, {"P000040.jpg": "014"})
    assert [one.tag for one in found if one.fate == "file"] == ["014", "014", "015"]
    left = placed(shots, TODAY, {"P000040.jpg": ""})
    assert [one.fate for one in left] == ["tag", "leave", "leave", "tag", "file"]


EVENTS = st.lists(
    st.tuples(st.sampled_from(["view", "tag", "unread", "strange"]), st.integers(0, 4), st.floats(0.1, 4000)),
    max_size=40,
)


@given(EVENTS)
def test_whatever_comes_a_picture_is_of_the_last_tag_seen_or_of_none(events: list[tuple[str, int, float]]) -> None:
    now, shots = 0.0, []
    for number, (kind, which, after) in enumerate(events):
        now += after
        taken = Taken(NOON + timedelta(seconds=now), "camera", "A")
        codes = (
            (Code(f"{which:03d}", 0.2),)
            if kind == "tag"
            else (Code("", 0.2, "unknown"),)
            if kind == "strange"
            else ()
        )
        shots.append(Shot(f"P{number:04d}.jpg", str(number), taken, codes, kind == "unread"))
    found = placed(list(reversed(shots)), date(2030, 1, 1))
    assert sorted(one.shot.name for one in found) == sorted(one.name for one in shots)
    last: Placed | None = None
    for one in sorted(found, key=lambda one: one.shot.name):
        if one.shot.codes or one.shot.unread:
            last = one
            assert one.fate != "file"
        elif one.fate == "file":
            assert last is not None and last.fate == "tag" and last.tag == one.tag
            assert one.shot.taken.moment - last.shot.taken.moment <= timedelta(minutes=20)


def test_names_are_given_once() -> None:
    names = Names(["photos/014-2027-05-02-A.jpg", "015-2027-05-02-b.jpg"])
    assert names.next("014", "2027-05-02") == "photos/014-2027-05-02-b.jpg"
    many = [names.next("014", "2027-05-02") for _ in range(30)]
    assert many[-1] == "photos/014-2027-05-02-af.jpg" and len(set(many)) == 30
