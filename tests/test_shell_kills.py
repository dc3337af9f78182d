"""Ten kills at random moments of compiles and followers; `make long` has two hundred and more."""

import killing


def test_after_any_kill_the_sites_are_whole_and_the_next_compile_succeeds(tmp_path):
    counts = killing.kill(tmp_path, 10, seed=5)
    assert sum(counts.values()) == 10
    assert sum(n for when, n in counts.items() if "ended" not in when) >= 5, counts


def test_two_compiles_at_once_leave_a_whole_site(tmp_path):
    good = killing.good_sites(tmp_path)
    killing.write_notes(tmp_path, 0)
    words = [*killing.PURFLE, "compile", "--shop", str(tmp_path), "--today", killing.DAY]
    both = [killing.subprocess.Popen(words, stdout=-1, stderr=-1, text=True) for _ in range(2)]
    said = [(process.communicate()[1], process.returncode) for process in both]
    assert any(status == 0 for _, status in said)
    assert all(status == 0 or ("another purfle" in told and "nothing was written" in told) for told, status in said)
    assert all(killing.tree(tmp_path / "out" / name) == digests[0] for name, digests in good.items())
    killing.check_no_strays(tmp_path)
