/* What the page does: filters, jumps by keyboard, and sounds that play where they stand. */
(() => {
  "use strict";
  const all = (selector, from = document) => [...from.querySelectorAll(selector)];
  const one = (id) => document.getElementById(id);
  const rows = all("#rows .row");
  const filters = all(".tools [data-show]");
  const chosen = new Set();
  document.documentElement.classList.add("scripts");

  /* ---- filters: any of the chosen marks; none chosen = everything */

  const isShown = (row) =>
    !chosen.size || (row.dataset.marks || "").split(" ").some((mark) => chosen.has(mark));

  function filter() {
    for (const row of rows) row.hidden = !isShown(row);
    for (const group of all("#rows .group")) {
      group.hidden = chosen.size > 0 && !group.querySelector(".row:not([hidden])");
    }
    for (const stay of all("#rows .stay")) {
      stay.hidden = chosen.size > 0 && !stay.querySelector(".group:not([hidden])");
    }
    for (const button of filters) {
      const mark = button.dataset.show;
      button.setAttribute("aria-pressed", String(mark ? chosen.has(mark) : !chosen.size));
    }
    const count = rows.filter((row) => !row.hidden).length;
    one("shown").textContent = `${count} of ${rows.length} rows shown`;
  }

  for (const button of filters) {
    button.addEventListener("click", () => {
      const mark = button.dataset.show;
      if (!mark) chosen.clear();
      else if (!chosen.delete(mark)) chosen.add(mark);
      filter();
    });
  }

  /* ---- jumps: one row can be reached by Tab, the others by keys from there */

  let current = null;
  let visited = false;

  function makeCurrent(row) {
    if (current) {
      current.tabIndex = -1;
      for (const button of all("button", current)) button.tabIndex = -1;
    }
    current = row;
    row.tabIndex = 0;
    for (const button of all("button", row)) button.tabIndex = 0;
  }

  function goTo(row) {
    if (!row) return;
    visited = true;
    makeCurrent(row);
    row.focus({ preventScroll: true });
    row.scrollIntoView({ block: "center" });
  }

  const shown = () => rows.filter((row) => !row.hidden);
  const zoneOf = (row) => row.closest(".stay");

  function nextFrom(row, step) {
    let at = row ? rows.indexOf(row) + step : 0;
    while (rows[at] && rows[at].hidden) at += step;
    return rows[at];
  }

  function nextZone(row, step) {
    const visible = shown();
    const zones = [...new Set(visible.map(zoneOf))];
    const zone = zones[zones.indexOf(zoneOf(row)) + step];
    return zone && visible.find((other) => zoneOf(other) === zone);
  }

  const KEYS = {
    ArrowDown: (row) => nextFrom(row, 1),
    ArrowUp: (row) => nextFrom(row, -1),
    PageDown: (row) => nextZone(row, 1),
    PageUp: (row) => nextZone(row, -1),
    Home: () => shown()[0],
    End: () => shown().at(-1),
  };

  one("rows").addEventListener("keydown", (event) => {
    const row = event.target.closest(".row");
    if (!row || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (event.target !== row && !event.target.matches(".play")) return;
    if (event.key === " " && event.target === row) {
      const button = row.querySelector(".play");
      if (button) play(button);
      event.preventDefault();
    } else if (KEYS[event.key]) {
      goTo(KEYS[event.key](row));
      event.preventDefault();
    }
  });
  one("rows").addEventListener("focusin", (event) => {
    const row = event.target.closest(".row");
    visited = visited || Boolean(row);
    if (row && row !== current) makeCurrent(row);
  });
  one("next").addEventListener("click", () => goTo(nextFrom(visited ? current : null, 1)));
  one("previous").addEventListener("click", () => goTo(nextFrom(current, -1)));

  /* ---- links to events: what a filter hides is shown again */

  function reveal(id) {
    const target = one(id);
    if (!target || !one("rows").contains(target)) return false;
    const row = target.closest(".row");
    if (chosen.size && (row ? row.hidden : target.closest("[hidden]"))) {
      chosen.clear();
      filter();
    }
    if (row) goTo(row);
    else target.scrollIntoView();
    return true;
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]');
    if (link && reveal(link.hash.slice(1))) {
      event.preventDefault();
      history.replaceState(null, "", link.hash);
    }
  });

  /* ---- tables that are too wide can be scrolled by keyboard */

  function measure() {
    for (const box of all(".wide")) {
      const given = { tabindex: "0", role: "region", "aria-label": box.dataset.label };
      for (const [name, value] of Object.entries(given)) {
        if (box.scrollWidth > box.clientWidth) box.setAttribute(name, value);
        else box.removeAttribute(name);
      }
    }
  }

  addEventListener("resize", measure);
  measure();

  /* ---- sounds: one player for all */

  const sound = one("sound");
  const clips = JSON.parse(one("clips").textContent);
  let playing = null;

  function showState() {
    for (const button of all(".play.on")) {
      button.classList.remove("on");
      button.querySelector(".sign").textContent = "▶";
    }
    if (playing && !sound.paused) {
      playing.classList.add("on");
      playing.querySelector(".sign").textContent = "❚❚";
    }
  }

  function play(button) {
    if (playing === button && !sound.paused) {
      sound.pause();
      return;
    }
    if (playing !== button) {
      playing = button;
      sound.src = `data:audio/mpeg;base64,${clips[button.dataset.clip]}`;
    }
    const words = button.closest(".row").querySelector(".words");
    one("playing").textContent = words ? words.textContent : "";
    one("player").hidden = false;
    sound.play();
  }

  for (const button of all(".play")) {
    button.tabIndex = -1;
    button.addEventListener("click", () => play(button));
  }
  for (const change of ["play", "pause", "ended"]) sound.addEventListener(change, showState);
  one("silence").addEventListener("click", () => {
    sound.pause();
    one("player").hidden = true;
    if (playing) playing.focus();
  });

  if (rows.length) makeCurrent(rows[0]);
  filter();
  if (location.hash) reveal(location.hash.slice(1));
})();
