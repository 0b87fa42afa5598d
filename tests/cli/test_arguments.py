"""What may be typed: every verb has an example that is understood, and shells can learn to complete it."""

from __future__ import annotations

import shlex
import shutil
import subprocess

import pytest

from cli.arguments import parser
from cli.main import main


def verbs() -> list[str]:
    actions = [a for a in parser()._actions if getattr(a, "dest", "") == "verb"]
    return list(actions[0].choices)


def examples(verb: str, capsys) -> list[str]:
    """Read the examples off the help text."""
    with pytest.raises(SystemExit) as ended:
        main([verb, "--help"])
    assert ended.value.code == 0
    lines = capsys.readouterr().out.splitlines()
    return [line.strip().removeprefix("seamwise ") for line in lines if line.startswith("  seamwise ")]


@pytest.mark.parametrize("verb", verbs())
def test_every_verb_shows_examples_that_are_understood(verb, capsys):
    """At least one, and each parses; a redirection is the shell's."""
    found = examples(verb, capsys)

    assert found
    for line in found:
        words = shlex.split(line.split(" > ")[0])
        assert parser().parse_args(words).verb == verb


def test_bash_learns_the_verbs(tmp_path, capsys):
    """The script is one that bash can read, and it knows every verb."""
    with pytest.raises(SystemExit) as ended:
        main(["--completion", "bash"])
    assert ended.value.code == 0
    script = capsys.readouterr().out
    for verb in verbs():
        assert verb in script
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("no bash on this machine")
    path = tmp_path / "seamwise.bash"
    path.write_text(script, encoding="utf-8")
    assert subprocess.run([bash, "-n", path], check=False).returncode == 0


def test_a_shell_that_is_not_known_is_told(capsys):
    """Exit code 2 and the shells there are."""
    assert main(["--completion", "dos"]) == 2
    assert "bash" in capsys.readouterr().err
