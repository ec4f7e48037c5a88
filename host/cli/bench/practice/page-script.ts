// What runs in the practice board's page: it follows the board's moments, draws them, and sends the words of each hand that is moved.

/** Plain script of a browser; `BY_CAR` stands before it. */
export const SCRIPT = `
  const by = (id) => document.getElementById(id);
  const all = (selector) => [...document.querySelectorAll(selector)];
  const make = (tag, text, className) => { const node = document.createElement(tag); if (text) node.textContent = text; if (className) node.className = className; return node; };
  const draw = (tag, facts, text) => { const node = document.createElementNS("http://www.w3.org/2000/svg", tag); for (const name in facts) node.setAttribute(name, facts[name]); if (text) node.textContent = text; return node; };
  const put = (node, text) => { if (node.textContent !== text) node.textContent = text; };
  const WINDOW_S = 20, LOOKS = ["one", "two", "three", "four"], HEIGHT = 140, moved = new Map();
  let past = [], last, width = 600;

  async function act(words) {
    const answer = await fetch("act", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ words }) }).then((r) => r.json(), () => ({ error: { what: "the board is gone; start headgate board again", expected: "" } }));
    put(by("told"), answer.error ? answer.error.what + (answer.error.expected ? " (expected: " + answer.error.expected + ")" : "") : answer.said);
    if (answer.look) show(answer.look);
  }
  const hand = (node, words) => { moved.set(node, performance.now()); act(words); };
  /** What a person has just moved is not moved back by a moment from before. */
  const still = (node) => performance.now() - (moved.get(node) || -1e9) > 600 && !node.matches(":active");

  all("[data-switch]").forEach((box) => box.addEventListener("change", () => hand(box, [box.dataset.switch, box.checked ? "on" : "off"])));
  by("pedal").addEventListener("input", (e) => hand(e.target, ["pedal", e.target.value + "%"]));
  all("[data-act]").forEach((one) => one.addEventListener("click", () => act(one.dataset.act.split(" "))));
  all("[data-value]").forEach((slider) => {
    const box = document.querySelector('[data-hold="' + slider.dataset.value + '"]');
    const set = () => { box.checked = true; moved.set(box, performance.now()); hand(slider, [slider.dataset.value, (slider.value + " " + slider.dataset.unit).trim()]); };
    slider.addEventListener("input", set);
    box.addEventListener("change", () => { if (box.checked) set(); else hand(box, [slider.dataset.value, BY_CAR]); });
  });
  all("[data-fault]").forEach((row) => row.querySelector("button").addEventListener("click", () => {
    const thing = row.querySelector("[data-thing]"), word = row.querySelector("[data-word]").value;
    act([row.dataset.fault].concat(thing ? [thing.value] : [], [word]));
  }));

  function list(node, items, each) {
    const key = JSON.stringify(items);
    if (node.dataset.key === key) return;
    node.dataset.key = key;
    node.replaceChildren(...items.flatMap(each));
  }
  function reason(r) {
    const pair = document.createElement("div");
    pair.append(make("dt", r.id), make("dd", r.cause + "; do: " + r.remedy));
    return [pair];
  }
  function headline(look) {
    if (!look.power) return "NO POWER";
    if (look.bootVolume !== null) return "BOOT MODE: it waits for an image in " + look.bootVolume;
    return look.said ? look.said.headline : "starting";
  }
  function show(look) {
    last = look;
    put(by("headline"), headline(look));
    put(by("todo"), look.said && look.said.todo ? "do: " + look.said.todo : "");
    const reasons = look.said ? look.said.reasons : [];
    list(by("reasons"), reasons, (r) => reason(r));
    put(by("held-by"), reasons.length > 0 ? "held off by " + reasons.map((r) => r.id).join(", ") : "");
    list(by("lamps"), Object.entries(look.lamps), ([name, lit]) => [make("li", (lit ? "\\u25cf " : "\\u25cb ") + name + (lit ? " on" : " off"), lit ? "lit" : "")]);
    all("[data-switch]").forEach((box) => { if (still(box)) box.checked = look.switches[box.dataset.switch]; box.disabled = look.driving; });
    const pedal = by("pedal");
    if (still(pedal)) pedal.value = String(Math.round(look.pedal * 100));
    pedal.disabled = look.driving;
    put(by("pedal-text"), Math.round(look.pedal * 100) + " %");
    for (const [name, value] of Object.entries(look.values)) {
      put(document.querySelector('[data-text="' + name + '"]'), value.text);
      const box = document.querySelector('[data-hold="' + name + '"]');
      if (still(box)) box.checked = value.held;
    }
    const damage = Object.entries(look.damage);
    list(by("damage"), damage, ([name, word]) => [make("li", name + ": " + word)]);
    put(by("state"), "power " + (look.power ? "on" : "off") + "; cable " + (look.cable ? "in" : "out") + "; " + (look.settings ? "settings are stored" : "no settings are stored") + (look.driving ? "; a launch is being driven" : ""));
  }

  function remember(look) {
    past.push({ s: look.seconds, shares: look.said ? look.said.shares : [0, 0, 0, 0], held: look.said ? look.said.reasons.map((r) => r.id) : [] });
    while (past.length > 1 && past[0].s < look.seconds - WINDOW_S) past.shift();
  }
  const at = (s) => width * (1 - (last.seconds - s) / WINDOW_S);
  /** Stretches over which an interlock held off, as places of their ends. */
  function stretches(id) {
    const found = [];
    past.forEach((p, i) => {
      if (!p.held.includes(id)) return;
      const before = found.at(-1), end = at((past[i + 1] || last && { s: last.seconds }).s);
      if (before && before.next === i) { before.end = end; before.next = i + 1; }
      else found.push({ start: at(p.s), end, next: i + 1 });
    });
    return found;
  }
  function plot() {
    const svg = by("shares");
    width = svg.clientWidth || 600;
    svg.setAttribute("viewBox", "0 0 " + width + " " + HEIGHT);
    const y = (share) => HEIGHT - 8 - share * (HEIGHT - 26);
    const grid = [0, 0.5, 1].flatMap((share) => [draw("line", { x1: 0, x2: width, y1: y(share), y2: y(share), class: "grid" }), draw("text", { x: 2, y: y(share) - 2 }, share * 100 + " %")]);
    const lines = [0, 1, 2, 3].map((stage) => draw("polyline", { class: LOOKS[stage], points: past.map((p) => at(p.s).toFixed(1) + "," + y(p.shares[stage]).toFixed(1)).join(" ") }));
    svg.replaceChildren(...grid, ...lines);
    const ids = [...new Set(past.flatMap((p) => p.held))];
    by("held").replaceChildren(...ids.map((id) => {
      const row = make("div", "", "strip"), strip = draw("svg", { viewBox: "0 0 " + width + " 10", preserveAspectRatio: "none", "aria-hidden": "true" });
      strip.append(...stretches(id).map(({ start, end }) => draw("rect", { x: start.toFixed(1), width: Math.max(1, end - start).toFixed(1), y: 1, height: 8 })));
      row.append(make("span", id), strip);
      return row;
    }));
  }
  by("legend").append(...[1, 2, 3, 4].map((stage) => { const one = make("span"), key = draw("svg", { viewBox: "0 0 48 12" }); key.append(draw("line", { x1: 0, x2: 48, y1: 6, y2: 6, class: "key " + LOOKS[stage - 1] })); one.append(key, " stage " + stage); return one; }));
  const looks = new EventSource("looks");
  looks.onmessage = (event) => { const look = JSON.parse(event.data); show(look); remember(look); };
  looks.onerror = () => put(by("headline"), "THE BOARD IS GONE: start headgate board again");
  setInterval(() => { if (last && !document.hidden) plot(); }, 100);
`;
