"""The hooks and the workflow for pull requests, step by step in a scratch repository with real commits."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import typer
import yaml

from matrixmap.cli.judge.compare import FORMATS
from matrixmap.cli.judge.compare import app as compare_app
from matrixmap.form.as_markdown import MARKER
from tests import tools
from tests.compare.scratch import ENVIRONMENT, Scratch, copy_demo
from tests.project import ROOT, RUN

WORKFLOW = ROOT / ".github" / "workflows" / "review.yml"
HOOKS = ROOT / ".pre-commit-hooks.yaml"
COMMAND = typer.main.get_command(compare_app)
LAYOUT = "layouts/quillon8-en-GB-symbolic.yaml"


class Runner:
    """Runs shell steps as a workflow does, with stand-ins for the program, its installer and the host's own tool."""

    def __init__(self, scratch: Scratch, folder: Path) -> None:
        self.scratch = scratch
        self.folder = folder
        self.summary = folder / "summary.md"
        self.calls = folder / "calls.txt"
        folder.mkdir()
        python = f"PYTHONPATH={shlex.quote(str(ROOT))} exec {shlex.quote(sys.executable)} -c {shlex.quote(RUN)}"
        self._command("matrixmap", f'{python} "$@"')
        self._command("pip", f'echo pip "$@" >> {shlex.quote(str(self.calls))}')
        # Prints the id of a comment that stands there, if the test says so, and notes every call with its body.
        self._command(
            "gh", f'echo gh "$@" >> {shlex.quote(str(self.calls))}\n[[ $* != *--jq* ]] || echo -n "$STANDING"'
        )

    def _command(self, name: str, script: str) -> None:
        path = self.folder / name
        path.write_text(f"#!/bin/bash\n{script}\n", encoding="utf-8")
        path.chmod(0o755)

    def run(self, script: str, **env: str) -> subprocess.CompletedProcess[str]:
        """The outcome of a step's script, run as `bash -e`."""
        return subprocess.run(
            ["bash", "-e", "-c", script],
            cwd=self.scratch.root,
            env={
                **os.environ,
                **ENVIRONMENT,
                "PATH": f"{self.folder}{os.pathsep}{os.environ['PATH']}",
                "GITHUB_STEP_SUMMARY": str(self.summary),
                "PYTHONIOENCODING": "utf-8",
                **env,
            },
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )


def steps(job: str) -> dict[str, str]:
    """Name -> script of the shell steps of a job."""
    workflow = yaml.safe_load(WORKFLOW.read_text(encoding="utf-8"))
    return {step["name"]: step["run"] for step in workflow["jobs"][job]["steps"] if "run" in step}


@pytest.fixture
def runner(tmp_path: Path) -> Runner:
    """A repository whose main has one layout with its generated files; the branch topic is checked out."""
    tools.tool("bash")
    scratch = Scratch(tmp_path / "repo")
    copy_demo(scratch.root)
    made = Runner(scratch, tmp_path / "bin")
    assert made.run("matrixmap build --quiet").returncode == 0
    scratch.commit("Begin", tag="base")
    scratch.git("checkout", "--quiet", "-b", "topic")
    return made


def review(runner: Runner) -> dict[str, subprocess.CompletedProcess[str]]:
    """All shell steps of the first job, as in a pull request against main."""
    base = runner.scratch.git("rev-parse", "main").strip()
    return {name: runner.run(script, BASE=base) for name, script in steps("review").items()}


def test_the_workflow_runs_all_that_it_should() -> None:
    """The steps are install, compare, check and freshness, and the comment; untrusted text stands in no script."""
    assert list(steps("review")) == [
        "install",
        "compare",
        "check",
        "generated files are fresh",
    ]
    for script in (*steps("review").values(), *steps("comment").values()):
        assert "${{" not in script
    workflow = yaml.safe_load(WORKFLOW.read_text(encoding="utf-8"))
    assert workflow["permissions"] == {"contents": "read"}
    assert "permissions" not in workflow["jobs"]["review"]
    # YAML 1.1 reads the key `on` as true.
    assert list(workflow[True]) == ["pull_request"]


def test_a_good_pull_request(runner: Runner) -> None:
    """A change with its generated files passes every step; comment, summary and page tell it."""
    runner.scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    assert runner.run("matrixmap build --quiet").returncode == 0
    runner.scratch.commit("F12 types a")
    done = review(runner)
    assert {name: step.returncode for name, step in done.items()} == dict.fromkeys(done, 0)
    comment = (runner.scratch.root / "review" / "comment.md").read_text(encoding="utf-8")
    assert comment.startswith(MARKER)
    assert "<code>F12</code> did nothing and now types <code>a</code>" in comment
    assert runner.summary.read_text(encoding="utf-8") == comment
    assert "<svg" in (runner.scratch.root / "review" / "page.html").read_text(encoding="utf-8")
    assert runner.calls.read_text(encoding="utf-8").startswith("pip install ")


def test_a_breaking_pull_request_is_annotated(runner: Runner) -> None:
    """A lost character is annotated at the file that loses it; tables that are stale fail their step alone."""
    runner.scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {Shift+Digit3: none}")
    runner.scratch.commit("No pound")
    done = review(runner)
    assert done["compare"].returncode == 0, done["compare"].stderr
    lines = [line for line in done["compare"].stdout.splitlines() if "Shift 3 typed £ and now does nothing" in line]
    assert len(lines) == 1
    line = (runner.scratch.root / LAYOUT).read_text(encoding="utf-8").splitlines().index("keys: {Shift+Digit3: none}")
    assert lines[0].startswith(f"::warning file={LAYOUT},line={line + 1},col=8,title=breaking for the typist::")
    assert done["check"].returncode == 0
    assert done["generated files are fresh"].returncode == 1


def test_a_broken_pull_request(runner: Runner) -> None:
    """A layout that cannot be read fails compare and check, and is told in both."""
    runner.scratch.edit(LAYOUT, "host: en-GB", "host: en-XX")
    runner.scratch.commit("A host that is not there")
    done = review(runner)
    assert done["compare"].returncode == 2
    assert "::error file=layouts/" in done["compare"].stdout
    assert "cannot be read any more" in runner.summary.read_text(encoding="utf-8")
    assert done["check"].returncode == 2


@pytest.mark.parametrize(
    ("standing", "method"), [("", "POST repos/o/r/issues/7/comments"), ("42", "PATCH repos/o/r/issues/comments/42")]
)
def test_the_comment_is_written_once(runner: Runner, standing: str, method: str) -> None:
    """Without a comment of ours one is written; the one that stands there is brought up to date."""
    runner.scratch.write("review/comment.md", f"{MARKER}\n@nobody `$(touch hacked)`\n")
    (script,) = steps("comment").values()
    done = runner.run(script, GH_TOKEN="t", GH_REPO="o/r", NUMBER="7", STANDING=standing)
    assert done.returncode == 0, done.stderr
    calls = runner.calls.read_text(encoding="utf-8").splitlines()
    assert len(calls) == 2
    assert MARKER in calls[0]
    assert calls[1] == f"gh api --silent --method {method} --field body=@review/comment.md"
    assert not (runner.scratch.root / "hacked").exists()


def test_the_hooks_stop_what_they_should(runner: Runner) -> None:
    """The hooks pass on a clean repository, and fail on an unreadable layout and on stale tables."""
    hooks = yaml.safe_load(HOOKS.read_text(encoding="utf-8"))
    entries = {hook["id"]: hook["entry"] for hook in hooks}
    assert list(entries) == ["matrixmap-check", "matrixmap-build"]
    assert all(hook["language"] == "python" and hook["pass_filenames"] is False for hook in hooks)
    assert [runner.run(entry).returncode for entry in entries.values()] == [0, 0]
    runner.scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    assert [runner.run(entry).returncode for entry in entries.values()] == [0, 1]
    runner.scratch.edit(LAYOUT, "F12: a", "F12: nix")
    assert [runner.run(entry).returncode for entry in entries.values()] == [2, 2]
    # A hook that is chosen by names of files is passed over where a commit only deletes some.
    assert all(hook["always_run"] is True and "files" not in hook for hook in hooks)


@pytest.mark.campaign
def test_the_hooks_see_a_file_that_was_deleted(runner: Runner) -> None:
    """A host that a layout needs is deleted, and the shipped one is no longer the same: both hooks see what is left."""
    entries = hook_entries()
    # A base that ships under no such name.
    for name in ("layouts/quillon8-symbolic.yaml", LAYOUT):
        text = (runner.scratch.root / name).read_text(encoding="utf-8")
        runner.scratch.write(name, text.replace("quillon8-symbolic", "our-symbolic"))
    runner.scratch.git("mv", "layouts/quillon8-symbolic.yaml", "layouts/our-symbolic.yaml")
    assert runner.run("matrixmap build --quiet").returncode == 0
    assert [runner.run(entry).returncode for entry in entries] == [0, 0]
    (runner.scratch.root / "layouts/our-symbolic.yaml").unlink()
    done = [runner.run(entry) for entry in entries]
    assert [each.returncode for each in done] == [2, 2]
    assert "there is no layout 'our-symbolic'" in done[0].stdout


@pytest.mark.campaign
def test_the_hooks_work_in_a_folder_below(runner: Runner) -> None:
    """With the arguments that the hooks' file names, a project below the root of the repository is checked and built."""
    copy_demo(runner.scratch.root / "boards")
    check, build = hook_entries()
    below = {check: "--root boards", build: "--root boards --out boards/generated"}
    assert runner.run(f"matrixmap build --quiet {below[build]}").returncode == 0
    assert [runner.run(f"{entry} {args}").returncode for entry, args in below.items()] == [0, 0]
    runner.scratch.edit(f"boards/{LAYOUT}", "host: en-GB", "host: en-GB\nkeys: {F12: nix}")
    assert [runner.run(f"{entry} {args}").returncode for entry, args in below.items()] == [2, 2]
    for words in ("[--root, FOLDER]", "--out FOLDER/generated"):
        assert words in HOOKS.read_text(encoding="utf-8")


def hook_entries() -> list[str]:
    """The commands of the hooks."""
    return [hook["entry"] for hook in yaml.safe_load(HOOKS.read_text(encoding="utf-8"))]


@pytest.mark.campaign
def test_a_clash_of_two_branches_is_seen(runner: Runner) -> None:
    """The workflow checks out the head of the branch, so that a key that main changed meanwhile is annotated and told."""
    workflow = yaml.safe_load(WORKFLOW.read_text(encoding="utf-8"))
    (checkout,) = [step for step in workflow["jobs"]["review"]["steps"] if "checkout" in step.get("uses", "")]
    assert checkout["with"] == {"ref": "${{ github.event.pull_request.head.sha }}", "fetch-depth": 0}
    scratch = runner.scratch
    scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    scratch.commit("F12 types a")
    head = scratch.git("rev-parse", "HEAD").strip()
    scratch.git("checkout", "--quiet", "main")
    # On main the same key is given another stroke, by the line that all layouts share.
    scratch.edit("layouts/quillon8-symbolic.yaml", "  F1: b1\n", "  F1: b1\n  F12: b\n")
    base = scratch.commit("F12 types b")
    scratch.git("checkout", "--quiet", head)
    done = runner.run(steps("review")["compare"], BASE=base)
    assert done.returncode == 0, done.stderr
    lines = [line for line in done.stdout.splitlines() if "changed on both branches" in line]
    assert lines == [
        f"::warning file={LAYOUT},line=5,col=1,title=changed on both branches::F12 types a; in {base} it types b"
    ]
    comment = (scratch.root / "review" / "comment.md").read_text(encoding="utf-8")
    assert "1 thing changed on both branches" in comment
    # In the merge of both there is nothing to see.
    scratch.git("checkout", "--quiet", "-b", "merged", base)
    scratch.git("merge", "--quiet", "--no-edit", head)
    merged = runner.run(steps("review")["compare"], BASE=base)
    assert "changed on both branches" not in merged.stdout


def test_an_unchanged_main_has_no_annotations(runner: Runner) -> None:
    """What the machine brings with it is no news: nothing is compared, played or annotated, and the check has no warning."""
    done = review(runner)
    assert {name: step.returncode for name, step in done.items()} == dict.fromkeys(done, 0)
    assert not [line for line in done["compare"].stdout.splitlines() if line.startswith("::")]
    assert not [line for line in done["check"].stdout.splitlines() if line.startswith("::")]


def test_one_trigger_changes_few_lines_of_generated_files(runner: Runner) -> None:
    """One changed trigger is one line of C, of JSON and of the key list; the rest is hashes and the checksum, and nothing is renumbered."""
    scratch = runner.scratch
    scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {F12: a}")
    assert runner.run("matrixmap build --quiet").returncode == 0
    scratch.commit("F12 types a")
    scratch.edit(LAYOUT, "F12: a", "F12: d")
    assert runner.run("matrixmap build --quiet").returncode == 0
    rows = scratch.git("diff", "--numstat", "--", "generated").splitlines()
    changed = {Path(name).name: (int(new), int(old)) for new, old, name in (row.split("\t") for row in rows)}
    name = "quillon8-en-GB-symbolic"
    hashed = [
        line for line in scratch.git("diff", "-U0", "--", "generated").splitlines() if re.match(r"[-+][^-+]", line)
    ]
    plain = [line for line in hashed if not re.search(r"[0-9a-f]{64}|checksum", line)]
    assert set(changed) <= {f"{name}.c", f"{name}.h", f"{name}.json", f"{name}.md", "mm_manifest.json"}
    # What is told per level in the JSON and per key in the list; in C one line answers for all levels.
    assert changed[f"{name}.c"] == (3, 3)
    assert changed[f"{name}.md"] == (2, 2)
    assert len([line for line in plain if "AT_" in line]) == 2
    assert all("F12" in line for line in plain)
    assert sum(new + old for new, old in changed.values()) <= 40


def test_the_page_for_reviewers_names_what_there_is() -> None:
    """Every option that docs/review.md names is one of the command's, and every form of the command is on the page."""
    page = (ROOT / "docs" / "review.md").read_text(encoding="utf-8")
    names = {option for parameter in COMMAND.params for option in parameter.opts}
    told = set(re.findall(r"`[^`]*?(--[a-z][a-z-]*)", page)) | set(
        re.findall(r"^matrixmap compare .*?(--[a-z][a-z-]*)", page, re.M)
    )
    assert told
    assert told - {"--unshallow"} <= names
    for form in FORMATS:
        assert f"| `{form}` |" in page


@pytest.mark.campaign
def test_a_pull_request_of_the_first_layouts(tmp_path: Path) -> None:
    """A repository that had no layouts yet gets its first ones: every step passes, and the comment says so."""
    tools.tool("bash")
    scratch = Scratch(tmp_path / "repo")
    scratch.write("README.md", "Layouts will follow.\n")
    scratch.commit("Begin")
    scratch.git("checkout", "--quiet", "-b", "topic")
    copy_demo(scratch.root)
    made = Runner(scratch, tmp_path / "bin")
    assert made.run("matrixmap build --quiet").returncode == 0
    scratch.commit("The first layouts")
    done = review(made)
    assert {name: (step.returncode, step.stderr) for name, step in done.items() if step.returncode} == {}
    comment = (scratch.root / "review" / "comment.md").read_text(encoding="utf-8")
    assert "these are the first layouts" in comment
    assert "New keyboards" in (scratch.root / "review" / "page.html").read_text(encoding="utf-8")
