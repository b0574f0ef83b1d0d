"""new: answers typed, piped or given as options; the scene it writes is one that check takes."""

from running import preview

ANSWERS = """Study
in
E 15' 6"
N 12' 4"
W 15' 6 1/4"
S 12' 4"

end
8' 6"
1
hall door
door
1
3'
36
6' 8"



4

white oak
quartersawn
grey
matte
N
hall door
4
walnut
"""


def test_piped_answers(tmp_path):
    scene = tmp_path / "study.toml"
    ran = preview("new", scene, given=ANSWERS.encode())
    assert ran.returncode == 0, ran.stderr.decode()
    assert ran.stdout.decode().strip() == str(scene)
    assert 'closes within 1/4"' in ran.stderr.decode()
    checked = preview("check", scene)
    assert checked.returncode == 0, checked.stderr.decode()
    assert "the sight line through the hall door" in checked.stdout.decode()
    assert "matt" in checked.stdout.decode()


def test_options_answer_and_nothing_is_asked(tmp_path):
    scene = tmp_path / "study.toml"
    walls = [word for wall in ("E 4 m", "N 3 m", "W 4 m", "S 3 m") for word in ("--wall", wall)]
    more = ("--diagonal", "1; 3; 5 m", "--stain", "gray", "--board-length", "450", "--variant", "Wide; 100")
    ran = preview("new", scene, *walls, "--units", "mm", "--opening", "door; door; 1; 500; 800", *more, given=b"")
    assert ran.returncode == 0, ran.stderr.decode()
    assert preview("lay", scene, "--variant", "Wide").returncode == 0


def test_a_walk_that_does_not_close_names_walls_and_writes_nothing(tmp_path):
    walls = [word for wall in ("E 4 m", "N 3 m", "W 3.5 m", "S 3 m") for word in ("--wall", wall)]
    ran = preview("new", tmp_path / "study.toml", *walls, given=b"")
    assert ran.returncode == 2
    assert 'wall 3, "W 3.5 m"' in ran.stderr.decode()
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_left_alone(tmp_path):
    (tmp_path / "study.toml").write_text("mine")
    ran = preview("new", tmp_path / "study.toml", given=ANSWERS.encode())
    assert ran.returncode == 2 and "exists already" in ran.stderr.decode()
    assert (tmp_path / "study.toml").read_text() == "mine"
