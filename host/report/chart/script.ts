// What a chart does in the browser: one cursor and one zoom for all its plots, by mouse, finger, keyboard and link.

/** Runs at the end of the page. Everything is drawn already: without it a chart shows all of its axis. */
export const CHART_SCRIPT = `
"use strict";
const clamp = (v, low, high) => Math.min(high, Math.max(low, v));
let keyed = null;
function chart(holder, isFirst) {
const all = (q, of) => [...(of || holder).querySelectorAll(q)];
const plots = holder.querySelector(".plots"), now = holder.querySelector(".now");
const { from, span, per, key, unit } = JSON.parse(plots.dataset.axis);
const svgs = all(".track > svg"), tracks = all(".track"), flags = all(".flags a");
const least = Math.min(span, Math.max(1, Math.min(per / 20, span / 20)));
const ROWS = 4;
let x0 = from, wide = span, at = null, pressed = null, hashTimer = 0;

function step(size, most) {
  const raw = size / most, power = 10 ** Math.floor(Math.log10(raw));
  return power * ([1, 2, 5].find((n) => n * power >= raw) || 10);
}
function ticks() {
  const width = tracks[0].clientWidth || 600, by = step(wide / per, Math.max(2, width / 90));
  const digits = Math.max(0, -Math.floor(Math.log10(by) + 1e-9)), places = [];
  for (let n = Math.ceil(x0 / per / by); n * by * per <= x0 + wide; n++) places.push(n * by);
  const one = (v, words) => '<span class="at" style="--a:' + Math.round(v * per) + '">' + words + "</span>";
  const lines = places.map((v) => one(v, "")).join(""), words = places.map((v) => one(v, v.toFixed(digits).replace(/^-(0(\\.0*)?)$/, "$1"))).join("");
  for (const grid of all(".grid")) grid.innerHTML = lines;
  for (const track of all(".ticks .track")) track.innerHTML = words;
}
function layFlags() {
  for (const flag of flags) {
    const a = +flag.style.getPropertyValue("--a");
    flag.hidden = a < x0 || a > x0 + wide;
  }
  const room = tracks[0].clientWidth, ends = [];
  const boxes = flags.map((flag) => [flag, flag.offsetLeft, flag.offsetWidth]);
  for (const [flag, at, width] of boxes) {
    if (flag.hidden) continue;
    const flipped = at + width > room && at > width, left = flipped ? at - width : at;
    let row = 0;
    while (ends[row] > left && row < ROWS) row++;
    flag.classList.toggle("flipped", flipped);
    flag.style.setProperty("--row", row);
    if (row === ROWS) flag.hidden = true;
    else ends[row] = left + width + 4;
  }
}
function show() {
  wide = clamp(wide, least, span);
  x0 = clamp(x0, from, from + span - wide);
  plots.style.setProperty("--x0", x0);
  plots.style.setProperty("--span", wide);
  for (const svg of svgs) {
    const box = svg.getAttribute("viewBox").split(" ");
    svg.setAttribute("viewBox", [x0, box[1], wide, box[3]].join(" "));
  }
  ticks();
  layFlags();
}

const parsed = new Map();
/** Pieces of a path as [x, y] points. */
function pointsOf(path) {
  if (parsed.has(path)) return parsed.get(path);
  const pieces = [];
  let x = 0, y = 0, half = null;
  for (const [word] of path.getAttribute("d").matchAll(/[ml]|-?\\d+/g)) {
    if (word === "m") pieces.push([]);
    else if (word !== "l") {
      if (half === null) half = +word;
      else { x += half; y += +word; half = null; pieces.at(-1).push([x, y]); }
    }
  }
  parsed.set(path, pieces);
  return pieces;
}
/** What the last record at or before the cursor says; null outside a line and in its gaps. */
function valueAt(path) {
  for (const piece of pointsOf(path)) {
    if (at < piece[0][0] || at > piece.at(-1)[0]) continue;
    let low = 0, high = piece.length - 1;
    while (low < high) { const mid = (low + high + 1) >> 1; if (piece[mid][0] <= at) low = mid; else high = mid - 1; }
    return -piece[low][1];
  }
  return null;
}
function readOut() {
  plots.classList.toggle("has-cursor", at !== null);
  if (at === null) return;
  plots.style.setProperty("--c", at);
  for (const out of all("output[data-digits]")) {
    const digits = +out.dataset.digits, path = all("path.line", out.closest(".panel"))[+out.dataset.line], v = valueAt(path);
    out.textContent = v === null ? "-" : (v / 10 ** digits).toFixed(digits);
  }
  const held = all(".lane.mode .span, .lane.reason .span").filter((bar) => +bar.style.getPropertyValue("--a") <= at && at < +bar.style.getPropertyValue("--b"));
  const words = [...new Set(held.map((bar) => (bar.closest(".lane").classList.contains("reason") ? "held off by " : "") + bar.textContent))];
  now.textContent = (at / per).toFixed(2) + " " + unit + (words.length ? ": " + words.join(", ") : "");
}
function moveTo(place, keep) {
  at = clamp(Math.round(place), from, from + span);
  if (at < x0 || at > x0 + wide) { x0 = at - wide / 2; show(); }
  readOut();
  if (keep) return;
  clearTimeout(hashTimer);
  hashTimer = setTimeout(() => history.replaceState(null, "", "#" + key + "=" + (at / per).toFixed(2)), 150);
}
function zoom(by, about) {
  const middle = about ?? at ?? x0 + wide / 2, share = (middle - x0) / wide, before = wide;
  wide = clamp(wide * by, least, span);
  if (wide !== before) x0 = middle - share * wide;
  show();
}
function whole() { x0 = from; wide = span; show(); }
function slide(by) { x0 += by * wide; show(); }
function toMark(way) {
  const places = flags.map((flag) => +flag.style.getPropertyValue("--a")), here = at ?? (way > 0 ? from - 1 : from + span + 1);
  const next = way > 0 ? places.find((p) => p > here) : places.findLast((p) => p < here);
  if (next !== undefined) moveTo(next);
}
const fine = Math.max(1, Math.min(per / 100, span / 200));
const KEYS = {
  ArrowLeft: (e) => moveTo((at ?? x0) - (e.shiftKey ? 10 : 1) * fine), ArrowRight: (e) => moveTo((at ?? x0) + (e.shiftKey ? 10 : 1) * fine),
  Home: () => moveTo(from), End: () => moveTo(from + span), "+": () => zoom(0.5), "=": () => zoom(0.5), "-": () => zoom(2), 0: whole,
  PageUp: () => slide(-0.5), PageDown: () => slide(0.5), n: () => toMark(1), p: () => toMark(-1), Escape: () => { at = null; readOut(); now.textContent = ""; },
};
const takesKeys = () => { keyed = press; };
function press(e) {
  const act = KEYS[e.key];
  if (!act || e.ctrlKey || e.metaKey || e.altKey) return;
  if ((e.key.startsWith("Page") || e.key === "Home" || e.key === "End") && document.activeElement !== plots) return;
  e.preventDefault();
  act(e);
}
if (isFirst) takesKeys();
for (const kind of ["focusin", "pointerdown", "pointermove"]) holder.addEventListener(kind, takesKeys);
const ACTS = { in: () => zoom(0.5), out: () => zoom(2), earlier: () => slide(-0.5), later: () => slide(0.5), whole, next: () => toMark(1), previous: () => toMark(-1) };
for (const button of all("button")) button.addEventListener("click", () => ACTS[button.dataset.act]());

const box = () => tracks[0].getBoundingClientRect();
const placeOf = (e) => x0 + ((e.clientX - box().left) / box().width) * wide;
plots.addEventListener("pointerdown", (e) => {
  if (!e.target.closest(".track") || e.target.closest("a")) return;
  pressed = { place: placeOf(e), x: e.clientX, mouse: e.pointerType === "mouse" };
  moveTo(pressed.place);
});
plots.addEventListener("pointermove", (e) => {
  const place = placeOf(e);
  if (pressed?.mouse && Math.abs(e.clientX - pressed.x) > 5) {
    plots.classList.add("picking");
    plots.style.setProperty("--p", Math.min(place, pressed.place));
    plots.style.setProperty("--q", Math.max(place, pressed.place));
  }
  if ((e.pointerType === "mouse" || pressed) && place >= x0 && place <= x0 + wide) moveTo(place);
});
addEventListener("pointerup", (e) => {
  const begun = pressed;
  pressed = null;
  if (!plots.classList.contains("picking")) return;
  plots.classList.remove("picking");
  const place = clamp(placeOf(e), x0, x0 + wide);
  x0 = Math.min(place, begun.place);
  wide = Math.max(least, Math.abs(place - begun.place));
  show();
});
addEventListener("pointercancel", () => { pressed = null; plots.classList.remove("picking"); });
plots.addEventListener("dblclick", whole);
plots.addEventListener("wheel", (e) => { if (!e.ctrlKey) return; e.preventDefault(); zoom(e.deltaY < 0 ? 0.8 : 1.25, placeOf(e)); }, { passive: false });

function fromLink() {
  const found = new RegExp("^#" + key + "=(-?\\\\d+(\\\\.\\\\d+)?)$").exec(location.hash);
  if (!found) return;
  const place = +found[1] * per;
  if (wide === span && span > 6 * per) { wide = Math.max(span / 4, 4 * per); x0 = place - wide / 2; show(); }
  moveTo(place, true);
  takesKeys();
  plots.scrollIntoView({ block: "start" });
}
addEventListener("hashchange", fromLink);
const layAgain = (paper) => { holder.classList.toggle("for-paper", paper); ticks(); layFlags(); };
addEventListener("resize", () => layAgain(false));
addEventListener("beforeprint", () => layAgain(true));
addEventListener("afterprint", () => layAgain(false));
show();
fromLink();
}
[...document.querySelectorAll(".chart")].forEach((holder, i) => chart(holder, i === 0));
addEventListener("keydown", (e) => keyed(e));
performance.measure("drawn");
`;
