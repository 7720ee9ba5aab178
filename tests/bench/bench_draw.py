"""What pictures and the page cost: python -m tests.bench.bench_draw.

`draw` and `check` are whole processes, measured in turn; the shortest of several runs is given, by the clock and by the
processor. The page is measured in headless Chromium: milliseconds from opening the file until it takes keys, and from
a key event until the frame that shows it was handed over. Times of a browser by the clock mean something only on a
machine that does nothing else; the processor time of the page's main thread is given too, with what it draws later.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

from matrixmap.emit.page.document import page_html
from matrixmap.hid.usages import Usage
from matrixmap.model.words import usage_name
from tests.browser import Browser, Page
from tests.page.driving import Driver
from tests.project import ROOT, RUN, shipped_ids, shipped_plan

LAYOUT = "quillon8-de-DE-symbolic"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """Seconds of a process: by the clock, and of the processor."""

    clock: float
    processor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFigures:
    """The page of all shipped layouts: its bytes, and milliseconds until it is ready and until a key is drawn.

    `opening` and `answer` are the processor time of the main thread for the whole opening, and for a key.
    """

    layouts: int
    size: int
    ready: float
    key: float
    opening: float
    answer: float


def cost_of(*words: str) -> Cost:
    """What one run of the command line costs."""
    before, start = os.times(), perf_counter()
    subprocess.run(
        [sys.executable, "-c", RUN, *words],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        check=True,
    )
    after = os.times()
    used = after.children_user + after.children_system - before.children_user - before.children_system
    return Cost(clock=perf_counter() - start, processor=used)


def draw_and_check(repeats: int = 5) -> tuple[Cost, Cost]:
    """The cheapest `draw` and `check` of one layout."""
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder) / "drawing.svg")
        runs = [
            (cost_of("draw", LAYOUT, "--out", out), cost_of("check", LAYOUT, "--fail-on", "none"))
            for _ in range(repeats)
        ]
    drawing, checking = zip(*runs, strict=True)
    return cheapest(drawing), cheapest(checking)


def cheapest(costs: tuple[Cost, ...]) -> Cost:
    """The least by the clock and the least of the processor."""
    return Cost(clock=min(cost.clock for cost in costs), processor=min(cost.processor for cost in costs))


def page_figures(repeats: int = 7) -> PageFigures:
    """The page in a browser; medians of several openings and of a key for each letter."""
    with tempfile.TemporaryDirectory() as folder, Browser() as browser:
        file = Path(folder) / "page.html"
        text = page_html([shipped_plan(id) for id in shipped_ids()])
        file.write_text(text, encoding="utf-8")
        ready, spans, opening, answers = [], [], [], []
        for _ in range(repeats):
            with browser.page(fresh=True) as tab:
                driver = Driver(tab, file)
                ready.append(float(tab.evaluate("performance.getEntriesByName('ready')[0].startTime")))
                spans = key_times(driver)
        for _ in range(repeats):
            with browser.page(fresh=True) as tab:
                tab.send("Performance.enable", timeDomain="threadTicks")
                driver = Driver(tab, file)
                opening.append(processor_ms(tab))
                answers = key_costs(driver)
    return PageFigures(
        layouts=len(shipped_ids()),
        size=len(text.encode()),
        ready=statistics.median(ready),
        key=statistics.median(spans),
        opening=statistics.median(opening),
        answer=statistics.median(answers),
    )


def key_times(driver: Driver) -> list[float]:
    """Milliseconds from each key event until its frame was handed over."""
    driver.page.evaluate(
        "globalThis.spans = []; document.getElementById('screen').addEventListener('keydown', () => {"
        "const start = performance.now(), after = new MessageChannel();"
        "after.port1.onmessage = () => spans.push(performance.now() - start);"
        "requestAnimationFrame(() => after.port2.postMessage(0)); }, true); 0"
    )
    for usage in range(0x04, 0x1E):
        driver.page.key("down", usage_name(Usage(usage)))
        driver.rest()
        driver.page.key("up", usage_name(Usage(usage)))
        driver.rest()
    return [float(span) for span in driver.page.evaluate("spans")]


def processor_ms(tab: Page) -> float:
    """Milliseconds of processor time that the page's main thread has used: what other programs do is not in it."""
    metrics = tab.send("Performance.getMetrics")["metrics"]
    return 1000 * next(float(metric["value"]) for metric in metrics if metric["name"] == "TaskDuration")


def key_costs(driver: Driver) -> list[float]:
    """Milliseconds of processor time from each key event until its frame was drawn."""
    drawn = "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    spans = []
    for usage in range(0x04, 0x1E):
        before = processor_ms(driver.page)
        driver.page.key("down", usage_name(Usage(usage)))
        driver.page.evaluate(drawn)
        spans.append(processor_ms(driver.page) - before)
        driver.page.key("up", usage_name(Usage(usage)))
        driver.rest()
    return spans


def main() -> None:
    """Prints all figures."""
    drawing, checking = draw_and_check()
    print(f"draw / check of {LAYOUT}: {drawing.clock / checking.clock:.2f} by the clock", end=", ")
    print(f"{drawing.processor / checking.processor:.2f} of the processor's time (aim: 2)")
    page = page_figures()
    print(f"page of {page.layouts} layouts: {page.size / 1000:.0f} KB (aim: below 400)")
    print(f"processor time of its main thread: {page.opening:.0f} ms to open, {page.answer:.1f} ms for a key")
    print(f"page ready after {page.ready:.0f} ms (aim: 200), a key drawn after {page.key:.1f} ms (one frame: 16.7)")


if __name__ == "__main__":
    main()
