// The page "What if": sliders beside the fields, and an answer that follows them.
"use strict";

const form = document.getElementById("what-if");
const now = document.getElementById("now");
const more = document.getElementById("more");
const WAIT = 25; // ms after the last key or step of a slider
const CALM = 1200; // ms without a change before what takes longer is asked for
const field = document.getElementById("field");
const spot = document.getElementById("spot");
let asking = null;
let mapping = null;
let mapped = "";
let digging = null;
let soon = 0;
let later = 0;

function asked() {
  const pairs = [...new FormData(form)].filter(([, value]) => value !== "");
  return new URLSearchParams(pairs).toString();
}

function rounded(value) {
  return Number(value.toPrecision(3));
}

function scaled(value, unit) {
  if (unit === "°C" || unit === "") return `${rounded(value)}${unit ? ` ${unit}` : ""}`;
  for (const [factor, sign] of [[1e6, "M"], [1e3, "k"], [1, ""], [1e-3, "m"], [1e-6, "µ"]]) {
    if (Math.abs(value) >= factor) return `${rounded(value / factor)} ${sign}${unit}`;
  }
  return `${value} ${unit}`;
}

// The last number of what is typed, with its prefix; what is no such number leaves the slider where the file has it.
function typed(field, typical) {
  const number = field.value.split("..").pop().match(/^\s*([\d.]+)\s*([MkKmuµn]?)/);
  if (number === null || number[1] === "") return typical;
  const factors = { M: 1e6, k: 1e3, K: 1e3, m: 1e-3, u: 1e-6, "µ": 1e-6, n: 1e-9 };
  return Number(number[1]) * (factors[number[2]] ?? 1);
}

function addSlider(field) {
  const slider = document.createElement("input");
  const { typical, low, high, unit, before } = field.dataset;
  slider.type = "range";
  slider.min = low;
  slider.max = high;
  slider.step = (high - low) / 200;
  slider.value = typed(field, typical);
  slider.className = "slider";
  const label = form.querySelector(`label[for="${field.id}"]`).textContent;
  slider.setAttribute("aria-label", `${label}, slider`);
  slider.addEventListener("input", () => {
    field.value = `${before}${scaled(Number(slider.value), unit)}`;
    slider.setAttribute("aria-valuetext", field.value);
    changed();
  });
  field.addEventListener("input", () => {
    slider.value = typed(field, typical);
  });
  field.after(slider);
}

async function judge() {
  asking?.abort();
  asking = new AbortController();
  const begun = performance.now();
  const question = asked();
  try {
    const answer = await fetch(`/what-if/now?${question}`, { signal: asking.signal });
    now.innerHTML = await answer.text();
    const took = Math.round(performance.now() - begun);
    document.documentElement.dataset.took = String(took);
    form.querySelector(".took").textContent = `answered in ${took} ms`;
    keep(question);
    follow();
  } catch (slip) {
    if (slip.name !== "AbortError") now.textContent = "The server does not answer; is it still running?";
  }
}

// The address, the links and the form that saves hold what is shown.
function keep(question) {
  history.replaceState(null, "", `/what-if?${question}`);
  document.getElementById("whole").href = `/vet?${question}`;
  document.getElementById("map").href = `/limits?${question}`;
  const kept = document.getElementById("kept");
  if (kept === null) return;
  kept.replaceChildren(
    ...[...new URLSearchParams(question)].filter(([name]) => !["file", "fit", "resistor", "policy"].includes(name)).map(([name, value]) => {
      const field = document.createElement("input");
      Object.assign(field, { type: "hidden", name, value });
      return field;
    }),
  );
}

// What comes bit by bit: the last line of progress, then the answer.
async function come(place, address, signal) {
  place.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(address, { signal });
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let text = "";
    for (let step = await reader.read(); !step.done; step = await reader.read()) {
      text += step.value;
      const from = text.lastIndexOf('<p class="doing">');
      if (!text.includes('<div class="come"') && from >= 0 && !place.querySelector("svg")) place.innerHTML = text.slice(from);
    }
    place.innerHTML = text;
  } catch (slip) {
    if (slip.name === "AbortError") return false;
    place.textContent = "The server does not answer; is it still running?";
  }
  place.removeAttribute("aria-busy");
  return true;
}

function dig() {
  digging = new AbortController();
  return come(more, `/what-if/more?${asked()}`, digging.signal);
}

// The map is that of everything but the fields which move the circuit over it; a range typed into one makes another map.
function ofMap() {
  const moves = form.dataset.moves.split(" ");
  const pairs = [...new FormData(form)].filter(([name, value]) => value !== "" && !(moves.includes(name) && !/[±]|\.\./.test(value)));
  return new URLSearchParams(pairs).toString();
}

async function follow() {
  const question = ofMap();
  if (question !== mapped) {
    mapping?.abort();
    mapping = new AbortController();
    mapped = question;
    field.setAttribute("aria-busy", "true");
    spot.textContent = "";
    if (!(await come(field, `/what-if/map?${question}`, mapping.signal))) return;
  }
  mark();
}

// The mark of the circuit over the drawn field of the map.
function mark() {
  const svg = field.querySelector("svg");
  const stands = document.getElementById("stands");
  const ground = svg?.querySelector('[id$="-field"]');
  const ends = field.querySelector("[data-field]")?.dataset.field.split(" ").map(Number);
  if (!ground || !ends || field.getAttribute("aria-busy") === "true") return;
  svg.querySelectorAll(".spot").forEach((each) => each.remove());
  spot.textContent = "";
  if (stands === null) return;
  const { x, y, width, height } = ground.getBBox();
  const volts = Number(stands.dataset.volts);
  const amperes = Number(stands.dataset.amperes);
  const right = (volts - ends[0]) / (ends[1] - ends[0]);
  const up = (amperes - ends[2]) / (ends[3] - ends[2]);
  spot.textContent = `It is at ${scaled(volts, "V")}, ${scaled(amperes, "A")}`;
  if (right < 0 || right > 1 || up < 0 || up > 1) {
    spot.textContent += ": beyond this map.";
    return;
  }
  spot.textContent += ".";
  const made = document.createElementNS("http://www.w3.org/2000/svg", "circle");
  made.setAttribute("class", "spot");
  made.setAttribute("cx", x + right * width);
  made.setAttribute("cy", y + (1 - up) * height);
  made.setAttribute("r", 6);
  svg.append(made);
}

function changed() {
  digging?.abort();
  clearTimeout(soon);
  clearTimeout(later);
  more.textContent = "";
  soon = setTimeout(judge, WAIT);
  later = setTimeout(dig, CALM);
}

if (form !== null) {
  form.querySelectorAll("input[data-high]").forEach(addSlider);
  form.addEventListener("input", (event) => {
    if (event.target.name === "load") form.submit(); // other fields, other sliders
    else if (event.target.type !== "range") changed();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    changed();
  });
  later = setTimeout(dig, CALM);
  follow();
}
