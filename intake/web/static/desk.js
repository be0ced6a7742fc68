// The desk's keyboard, and corrections without loading the page anew. Everything here also works without a script.
"use strict";
(() => {
  const token = document.querySelector('meta[name="desk-token"]')?.content ?? "";
  const root = document.querySelector('meta[name="desk-root"]')?.content ?? "";
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  document.documentElement.classList.add("scripted");
  const typing = (target) => target.closest?.("input:not([type=checkbox]), textarea, select, [contenteditable]");

  // Anywhere: search, help, lists.
  all("[data-open]").forEach((b) => b.addEventListener("click", () => document.getElementById(b.dataset.open).showModal()));
  document.addEventListener("change", (event) => event.target.closest("form[data-at-once]")?.requestSubmit());

  function alongRows(step) {
    const rows = all("[data-row]");
    const next = rows[rows.indexOf(document.activeElement) + step] ?? (step > 0 ? rows[0] : rows.at(-1));
    next?.focus();
    return rows.length > 0;
  }

  // What waits for a person: the keys act on the words that have the focus, else on the first.
  const currentNeed = () => document.activeElement.closest(".need") ?? one(".need");

  function nextNeed() {
    const needs = all(".need"), at = needs.indexOf(document.activeElement.closest(".need"));
    needs[(at + 1) % needs.length].focus();
  }

  // The survey: one number chosen at a time.
  const survey = one("#survey[data-picture]");
  let numbers = survey ? JSON.parse(survey.dataset.numbers) : [];
  let chosen = survey && survey.dataset.selected !== "" ? Number(survey.dataset.selected) : null;
  const field = (name) => one(`#card [data-f="${name}"]`);

  const inkOf = (index) => `${root}/pictures/${survey.dataset.picture}/numbers/${index}.png`;

  function choose(index, move = true) {
    const number = numbers[index];
    if (!number || !one("#card form")) return;
    chosen = index;
    all("#drawn .number").forEach((a) => a.classList.toggle("chosen", Number(a.dataset.number) === index));
    if (move) bringIntoView(one(`#drawn [data-number="${index}"]`)), reveal();
    const ink = one("#card .ink img");
    ink.hidden = number.added;
    if (!number.added) ink.src = inkOf(index);
    fill(number);
    const ahead = following(1, false);
    if (ahead !== null) new Image().src = inkOf(ahead);
  }

  function bringIntoView(anchor) {
    const frame = one("#drawn .frame");
    if (!anchor || !frame) return;
    const box = anchor.getBoundingClientRect(), seen = frame.getBoundingClientRect();
    frame.scrollLeft += box.left + box.width / 2 - seen.left - seen.width / 2;
    frame.scrollTop += box.top + box.height / 2 - seen.top - seen.height / 2;
  }

  // Sketch, plan and card stand in one screen: below what is above them where that leaves room, else by themselves.
  const narrow = matchMedia("(max-width: 52rem)"), least = 300;
  function fit() {
    const card = one("#card"), sketch = one("#drawn .sketch"), within = one(".within");
    if (!card || !sketch || narrow.matches || zoom) return;
    survey.style.removeProperty("--high");
    const high = sketch.getBoundingClientRect().height;
    const foot = (card.offsetHeight ? card : one("#drawn")).getBoundingClientRect().bottom + 8;
    const left = high + innerHeight - foot - scrollY;
    const alone = high + innerHeight - foot + survey.getBoundingClientRect().top - within.offsetHeight;
    survey.style.setProperty("--high", `${Math.max(left >= least ? left : alone, least)}px`);
  }

  function reveal() {
    const card = one("#card").getBoundingClientRect(), drawn = one("#drawn").getBoundingClientRect();
    const head = one(".within").offsetHeight;
    if (!narrow.matches && (card.bottom > innerHeight || drawn.top < head - 1)) window.scrollBy(0, survey.getBoundingClientRect().top - head);
  }

  function showWhole(whole) {
    const sketch = one("#drawn .sketch");
    sketch?.setAttribute("viewBox", whole ? sketch.dataset.whole : sketch.dataset.view);
  }

  function fill(number) {
    field("standing").textContent = number.standing;
    field("standing").className = `tag ${number.standing}`;
    field("arithmetic").textContent = number.arithmetic;
    field("by").textContent = number.by;
    field("meant").textContent = number.meant;
    field("meanings").replaceChildren(...number.meanings.map(meaningButton));
    const line = one("#stretch"), ends = number.stretch;
    if (line) line.toggleAttribute("hidden", !ends);
    if (line && ends) ["x1", "y1", "x2", "y2"].forEach((name, n) => line.setAttribute(name, ends.flat()[n]));
    field("refused").textContent = "";
    field("choices").replaceChildren(...number.choices.map((choice, place) => choiceButton(choice, place)));
    const form = one("#card form");
    form.elements.number.value = number.index;
    form.elements.text.value = "";
    form.elements.role.value = number.role;
    form.elements.wall.value = number.wall ?? "";
  }

  function meaningButton(meaning, place) {
    const button = Object.assign(document.createElement("button"), { type: "button", className: "plain" });
    button.dataset.role = meaning.role;
    button.dataset.wall = meaning.wall ?? "";
    button.append(Object.assign(document.createElement("kbd"), { textContent: "fgm"[place] }), ` ${meaning.text}`);
    return button;
  }

  function choiceButton(choice, place) {
    const button = document.createElement("button");
    button.className = "choice";
    button.type = "submit";
    button.name = place ? "choice" : "action";
    button.value = place ? choice.text : "confirm";
    for (const [tag, text] of [["kbd", "abcde"[place]], ["b", choice.text], ["i", choice.how]]) {
      button.append(Object.assign(document.createElement(tag), { textContent: text }), " ");
    }
    return button;
  }

  // Numbers are gone through in the order of the page: clockwise round the room.
  function following(step, any) {
    const line = all("#drawn .number").map((a) => Number(a.dataset.number));
    const from = line.indexOf(chosen);
    for (let n = 1; n <= line.length; n++) {
      const index = line[(from + step * n + line.length * n) % line.length];
      if (any || numbers[index]?.standing === "doubtful") return index === chosen ? null : index;
    }
    return null;
  }

  // What is doubtful, one after the other: the numbers round the room, then the sums that do not come out.
  function onward(step) {
    const line = all("#drawn .number").map((a) => Number(a.dataset.number)), rows = all("#sums .beyond a");
    const at = rows.indexOf(document.activeElement), doubtful = line.filter((n) => numbers[n]?.standing === "doubtful");
    const edge = (list) => (step > 0 ? list[0] : list.at(-1));
    if (at >= 0) {
      const row = rows[at + step] ?? (doubtful.length ? null : edge(rows));
      if (row) return toSum(row);
      document.activeElement.blur();
      return choose(edge(doubtful));
    }
    const next = following(step, false);
    const wraps = next === null || (line.indexOf(next) - line.indexOf(chosen)) * step < 0;
    if (wraps && rows.length) return toSum(edge(rows));
    if (next !== null) choose(next);
  }

  function toSum(row) {
    row.focus({ preventScroll: true });
    row.scrollIntoView({ block: "end" });
  }

  // The numbers of the sum that has the focus are marked on the sketch.
  function markSum(row) {
    const taking = row?.dataset.sum.split(" ") ?? [];
    all("#drawn .number").forEach((a) => a.classList.toggle("in-sum", taking.includes(a.dataset.number)));
  }

  // The sketch larger, in its frame.
  const STEPS = [1, 1.5, 2, 3, 4];
  let zoom = 0;
  function enlarge(by) {
    const sketch = one("#drawn .sketch"), frame = one("#drawn .frame");
    if (!sketch || !frame) return;
    zoom = Math.min(Math.max(zoom + by, 0), STEPS.length - 1);
    sketch.style.width = sketch.style.height = frame.style.maxHeight = "";
    if (zoom) {
      const { width, height } = sketch.getBoundingClientRect();
      frame.style.maxHeight = `${frame.clientHeight}px`;
      sketch.style.width = `${width * STEPS[zoom]}px`;
      sketch.style.height = `${height * STEPS[zoom]}px`;
    }
    all("[data-zoom]").forEach((b) => { b.disabled = !STEPS[zoom + Number(b.dataset.zoom)]; });
    bringIntoView(one(`#drawn [data-number="${chosen}"]`));
  }

  // A number that was missed: its place by a click, then what it says.
  const adding = () => !(one("#missed")?.hidden ?? true);

  function openMissed(open) {
    const form = one("#missed");
    if (!form) return;
    form.hidden = !open;
    one("#drawn").classList.toggle("adding", open);
    one("#drawn .spot")?.remove();
  }

  function placeMissed(event) {
    const sketch = one("#drawn .sketch"), form = one("#missed");
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(sketch.getScreenCTM().inverse());
    form.elements.x.value = Math.round(point.x);
    form.elements.y.value = Math.round(point.y);
    one("#drawn .spot")?.remove();
    const spot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    for (const [name, value] of [["class", "spot"], ["cx", point.x], ["cy", point.y], ["r", ".9em"]]) spot.setAttribute(name, value);
    sketch.append(spot);
    form.elements.text.focus();
  }

  async function post(url, data) {
    const answer = await fetch(url, { method: "POST", body: new URLSearchParams(data), headers: { "X-Desk-Token": token, Accept: "application/json" } });
    if (answer.status === 401) return location.reload();
    const told = await answer.json().catch(() => ({ refused: "That did not work. Load the page again." }));
    if (told.refused) {
      const place = adding() ? one("#missed [data-f=refused]") : field("refused");
      if (place) place.textContent = told.refused;
      return null;
    }
    return told;
  }

  function redraw(told, goOn) {
    const bare = one("#drawn")?.classList.contains("bare"), whole = one("[data-whole-picture]")?.checked;
    for (const [name, html] of Object.entries(told.parts)) {
      const old = document.getElementById(name);
      if (!old) continue;
      const shell = document.createElement("template");
      shell.innerHTML = html.trim();
      const fresh = shell.content.querySelector(`#${name}`);
      if (fresh) old.replaceWith(fresh);
    }
    one("#drawn")?.classList.toggle("bare", Boolean(bare));
    if (one("[data-labels]")) one("[data-labels]").checked = !bare;
    if (whole) one("[data-whole-picture]").checked = true, showWhole(true);
    if (zoom) enlarge(0);
    numbers = JSON.parse(told.numbers);
    const next = goOn ? following(1, false) : null;
    choose(next ?? chosen, next !== null);
  }

  // One at a time and in order; what is pressed twice before the answer came is meant once.
  let line = Promise.resolve();
  const pending = new Set();
  function inLine(what, send) {
    if (pending.has(what)) return;
    pending.add(what);
    one("#card").setAttribute("aria-busy", "true");
    line = line.then(send).finally(() => {
      pending.delete(what);
      if (!pending.size) one("#card").removeAttribute("aria-busy");
    }).catch(() => { field("refused").textContent = "The desk did not answer. Try again."; });
  }

  function decide(values) {
    const number = chosen;
    inLine(`${number} ${JSON.stringify(values)}`, async () => {
      const told = await post(`${root}/jobs/${survey.dataset.job}/numbers`, { picture: survey.dataset.picture, number, ...values });
      if (told) redraw(told, values.action !== "role");
    });
  }

  function undo() {
    const decision = one("#history [data-undo] [name=decision]")?.value;
    if (!decision) return;
    inLine(`undo ${decision}`, async () => {
      const told = await post(`${root}/jobs/${survey.dataset.job}/undo`, { decision, picture: survey.dataset.picture, number: chosen });
      if (told) redraw(told, false);
    });
  }

  function surveyKey(event) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (step && !event.shiftKey) return onward(step), true;
    if (step) {
      const next = following(step, true);
      if (next !== null) choose(next);
      return true;
    }
    if (event.key === "+" || event.key === "-") return enlarge(event.key === "+" ? 1 : -1), true;
    const place = "abcde".indexOf(event.key);
    if (place >= 0 && event.key.length === 1) {
      const choice = numbers[chosen]?.choices[place];
      if (choice) decide(place ? { action: "correct", text: choice.text } : { action: "confirm" });
      return Boolean(choice);
    }
    const meaning = event.key.length === 1 ? numbers[chosen]?.meanings["fgm".indexOf(event.key)] : null;
    if (meaning) return decide({ action: "role", role: meaning.role, wall: meaning.wall ?? "" }), true;
    if (event.key === "n") return openMissed(true), true;
    if (event.key === "x") return decide({ action: "drop" }), true;
    if (event.key === "u") return undo(), true;
    if (event.key === "Enter" && document.activeElement === document.body) return decide({ action: "confirm" }), true;
    if (/^[0-9]$/.test(event.key)) {
      const text = one("#card [name=text]");
      text.focus();
      text.value = event.key;
      return true;
    }
    return false;
  }

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || one("dialog[open]")) return;
    if (typing(event.target)) {
      if (event.key === "Escape") event.target.blur();
      return;
    }
    let done = false;
    if (event.key === "/" && one("#find")) done = one("#find").focus() ?? true;
    else if (event.key === "?" && one("#keys")) done = one("#keys").showModal() ?? true;
    else if (event.key === "j") done = (location.href = `${root}/`) && true;
    else if (event.key === "ArrowDown" || event.key === "ArrowUp") done = alongRows(event.key === "ArrowDown" ? 1 : -1);
    else if (survey && chosen !== null && surveyKey(event)) done = true;
    else {
      const key = `[data-key="${CSS.escape(event.key)}"]`, need = currentNeed();
      const link = need?.querySelector(key) ?? one(`:is(.within, .blind) ${key}`);
      if (link) done = link.click() ?? true;
      else if (event.key === "v" && need) done = nextNeed() ?? true;
    }
    if (done) event.preventDefault();
  });

  // A blind look is given in passing; the page stays as it is.
  one("#blind form")?.addEventListener("submit", async (event) => {
    event.preventDefault();
    const form = event.target, asked = [...one("#blind").childNodes];
    if (event.submitter?.value === "told" && !form.elements.told.value.trim()) return;
    const told = await looked(form, event.submitter);
    if (told.refused) return void (one("#blind [data-f=refused]").textContent = told.refused);
    form.elements.told.blur();
    const back = Object.assign(document.createElement("button"), { type: "button", className: "plain", innerHTML: "<kbd>q</kbd> Take that back" });
    back.dataset.key = "q";
    one("#looked")?.remove();
    one("#blind").replaceChildren(told.said, back);
    back.addEventListener("click", async () => {
      const again = await looked(form, Object.assign(document.createElement("button"), { name: "action", value: "back" }));
      if (again.refused) return void back.replaceWith(again.refused);
      form.elements.told.value = "";
      one("#blind").replaceChildren(...asked);
    });
  });

  // Sends what was seen in a number of another job, or that it is taken back.
  async function looked(form, button) {
    const data = new URLSearchParams(new FormData(form));
    if (button?.name) data.set(button.name, button.value);
    const answer = await fetch(form.getAttribute("action"), { method: "POST", body: data, headers: { "X-Desk-Token": token, Accept: "application/json" } });
    return answer.json().catch(() => ({ refused: "That did not work. Load the page again." }));
  }

  if (survey) {
    document.addEventListener("click", (event) => {
      const meaning = event.target.closest("[data-f=meanings] button");
      if (meaning) return decide({ action: "role", role: meaning.dataset.role, wall: meaning.dataset.wall });
      const larger = event.target.closest("[data-zoom]");
      if (larger) return enlarge(Number(larger.dataset.zoom));
      if (event.target.closest("[data-add], [data-add-not]")) return openMissed(Boolean(event.target.closest("[data-add]")));
      if (adding() && event.target.closest("#drawn .sketch")) return event.preventDefault(), placeMissed(event);
      const anchor = event.target.closest("#drawn .number, [data-go]");
      if (!anchor || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      choose(Number(anchor.dataset.number ?? anchor.dataset.go));
      if (anchor.dataset.go) one("#survey").scrollIntoView();
    });
    document.addEventListener("change", (event) => {
      if (event.target.matches("[data-labels]")) one("#drawn").classList.toggle("bare", !event.target.checked);
      if (event.target.matches("[data-whole-picture]")) showWhole(event.target.checked);
      // What a number measures is set as soon as it is chosen; what it says stays open until it is taken or typed.
      const form = event.target.closest("#card form");
      if (form && event.target.matches("select")) event.target.blur(), decide({ action: "role", role: form.elements.role.value, wall: form.elements.wall.value });
    });
    all("[data-step]").forEach((b) => b.addEventListener("click", () => onward(Number(b.dataset.step))));
    document.addEventListener("focusin", (event) => markSum(event.target.closest("[data-sum]")));
    document.addEventListener("focusout", () => markSum(null));
    document.addEventListener("submit", async (event) => {
      if (event.target.id !== "missed") return;
      event.preventDefault();
      const told = await post(event.target.action, Object.fromEntries(new FormData(event.target)));
      if (told) redraw(told, false);
    });
    one("#card form")?.addEventListener("submit", (event) => {
      event.preventDefault();
      const form = event.target, button = event.submitter;
      if (button?.name === "choice") return decide({ action: "correct", text: button.value });
      decide({ action: button?.value ?? "correct", text: form.elements.text.value });
      if (document.activeElement === form.elements.text) form.elements.text.blur();
    });
    fit();
    addEventListener("resize", fit);
    if (chosen !== null) choose(chosen, false);
  }
})();
