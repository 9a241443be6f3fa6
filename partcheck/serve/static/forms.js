// Forms that work without it: says what is wrong while one types, and keeps what was typed until it is saved.
"use strict";

const SLOW = 450;
const sheet = document.querySelector("form[data-check]");

function paragraph(text) {
  const made = document.createElement("p");
  made.textContent = text;
  return made;
}

function listed(title, items) {
  const made = [paragraph(title)];
  const list = document.createElement("ul");
  for (const item of items) {
    const each = document.createElement("li");
    each.textContent = item;
    list.append(each);
  }
  made.push(list);
  return made;
}

// What is wrong goes under fields that were touched, so that an empty form does not complain.
function tellSlips(form, slips, touched) {
  for (const place of form.querySelectorAll(".wrong")) {
    const name = place.id.slice("wrong-".length);
    const field = document.getElementById(`f-${name}`);
    const told = touched.has(name) ? slips[name] || [] : [];
    if (place.textContent === told.join("")) continue;
    place.replaceChildren(...told.map(paragraph));
    if (field) field.toggleAttribute("aria-invalid", false);
    if (field && told.length) field.setAttribute("aria-invalid", "true");
  }
}

function tellSoFar(form, answer) {
  const box = form.querySelector("[data-live]");
  if (!box) return;
  const made = [];
  if (answer.doubts?.length) made.push(...listed("Doubtful; look it up in the datasheet:", answer.doubts));
  for (const [role, missing] of Object.entries(answer.missing || {})) {
    const items = Object.entries(missing).map(([name, ids]) => `${name}: ${ids.join(", ")}`);
    if (items.length) made.push(...listed(`Not stated, and so left unproven in a ${role} that asks it:`, items));
    else made.push(paragraph(`Nothing is missing that a ${role} asks first.`));
  }
  if (answer.told?.length) made.push(...answer.told.map(paragraph));
  if (answer.text) {
    const file = document.createElement("pre");
    file.className = "file";
    file.textContent = answer.text;
    made.push(file);
  }
  box.replaceChildren(...made);
  box.parentElement.hidden = !made.length;
}

function watch(form) {
  const touched = new Set();
  let timer = 0;
  let running = null;
  async function ask() {
    running?.abort();
    running = new AbortController();
    try {
      const answer = await fetch(form.dataset.check, {
        method: "POST",
        body: new FormData(form),
        signal: running.signal,
      });
      if (!answer.ok) return;
      const told = await answer.json();
      tellSlips(form, told.slips || {}, touched);
      tellSoFar(form, told);
    } catch {
      // The next key asks again; saving says what is wrong in any case.
    }
  }
  form.addEventListener("input", (event) => {
    const name = event.target.id?.replace(/^f-/, "");
    if (name) touched.add(name);
    clearTimeout(timer);
    timer = setTimeout(ask, SLOW);
  });
}

// ---- kept in this browser until it is saved: the server may end, the tab may be closed

function keepTyped(form) {
  const place = `typed:${location.pathname}${location.search}`;
  const mine = () =>
    [...form.elements].filter((e) => e.name && !["hidden", "submit", "file"].includes(e.type) && e.name !== "base");
  const now = () => Object.fromEntries(mine().filter((e) => e.type !== "radio").map((e) => [e.name, e.value]));
  const begun = JSON.stringify(now());
  let kept = null;
  try {
    kept = JSON.parse(localStorage.getItem(place) || "null");
  } catch {
    kept = null;
  }
  if (kept && JSON.stringify(kept) !== begun && !document.querySelector(".slip")) offer(form, kept, mine, place);
  form.addEventListener("input", () => {
    try {
      localStorage.setItem(place, JSON.stringify(now()));
    } catch {
      // A browser that keeps nothing; the form works all the same.
    }
  });
  form.addEventListener("submit", () => sessionStorage.setItem("sent", place));
}

function offer(form, kept, mine, place) {
  const box = document.createElement("div");
  box.className = "kept";
  const take = document.createElement("button");
  take.type = "button";
  take.textContent = "Restore it";
  const drop = document.createElement("button");
  drop.type = "button";
  drop.className = "quiet";
  drop.textContent = "Forget it";
  take.addEventListener("click", () => {
    for (const field of mine()) if (field.name in kept && !field.readOnly) field.value = kept[field.name];
    box.remove();
    form.dispatchEvent(new Event("input", { bubbles: true }));
  });
  drop.addEventListener("click", () => {
    localStorage.removeItem(place);
    box.remove();
  });
  box.append(paragraph("This browser has kept what was typed here before and not saved."), take, drop);
  form.before(box);
}

// ---- a form that grows: what follows from an answer is asked as soon as the field is left

function grow(form) {
  const state = () => Object.fromEntries([...form.elements].filter((e) => e.name && e.type !== "submit").map((e) => [e.name, e.value]));
  let running = null;
  form.addEventListener("change", async () => {
    running?.abort();
    running = new AbortController();
    const before = state();
    try {
      const answer = await fetch(form.action, { method: "POST", body: new FormData(form), signal: running.signal });
      if (answer.status !== 200 && answer.status !== 400) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const made = page.querySelector("form[data-grow]");
      if (!made) return;
      const typedSince = Object.entries(state()).filter(([name, value]) => before[name] !== value);
      const at = document.activeElement?.id;
      form.replaceChildren(...made.childNodes);
      for (const [name, value] of typedSince) if (form.elements[name]) form.elements[name].value = value;
      if (at) document.getElementById(at)?.focus({ preventScroll: true });
    } catch {
      // The button asks the same without a script.
    }
  });
}

// A page that says that something was saved ends what was kept for it.
if (document.querySelector(".done")) {
  const sent = sessionStorage.getItem("sent");
  if (sent) localStorage.removeItem(sent);
  sessionStorage.removeItem("sent");
}
if (sheet) {
  watch(sheet);
  keepTyped(sheet);
}
const growing = document.querySelector("form[data-grow]");
if (growing) grow(growing);
