// The pages and drawings of hardware-notes say the same numbers as their one file, each with its source, and name real pins.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import type { Part } from "#shared-schema/circuit/part.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { gpioOf, PINS } from "#shared-schema/model/pins.ts";
import { tableRows } from "../support/markdown.ts";
import { noteText, VALUES } from "./values.ts";

const files = readdirSync(join(import.meta.dirname, "../../hardware-notes"));
const pages = files.filter((file) => file.endsWith(".md") && file !== "pin-map.md");
const drawings = files.filter((file) => file.endsWith(".svg"));
const keys = Object.keys(VALUES);

const PREFIX: Readonly<Record<string, number>> = { n: 1e-9, u: 1e-6, m: 1e-3, k: 1e3, "": 1, "%": 1e-2 };

/** SI value of a text such as `5.23 kohm`, and half of its last digit. */
function readWritten(text: string): { value: number; exact: number } {
  const match = /^([\d.]+)(?: ([numk]?)(?:ohm|F|H|V|A|W|J|s|Hz|K)| (%))?$/.exec(text);
  if (match === null) throw new Error(`cannot read ${text}`);
  const scale = PREFIX[match[3] ?? match[2] ?? ""]!;
  const decimals = match[1]!.split(".")[1]?.length ?? 0;
  return { value: Number(match[1]) * scale, exact: 0.5 * 10 ** -decimals * scale };
}

describe("every number", () => {
  test("is written as it is", () => {
    for (const key of keys) {
      const { value, exact } = readWritten(VALUES[key]!.written);
      expect(Math.abs(value - VALUES[key]!.value)).toBeLessThanOrEqual(exact * 1.001);
    }
  });

  test("says where it comes from", () => {
    for (const key of keys) {
      expect(VALUES[key]!.source).toMatch(
        /^\[(computed|assumed|from memory|measured|datasheet: .+|code: .+)\]$/,
      );
      expect(VALUES[key]!.what).not.toBe("");
    }
  });

  test("stands in exactly one table, as in the file", () => {
    const rows = pages.flatMap((page) => tableRows(noteText(page)));
    const told = rows.filter((row) => /^`[^`]+`$/.test(row[0]!));
    const kept = Object.entries(VALUES).map(([key, { written, source, what }]) => [
      `\`${key}\``,
      written,
      source,
      what,
    ]);
    const byKey = (a: string[], b: string[]): number => (a[0]! < b[0]! ? -1 : 1);
    expect(told.sort(byKey)).toEqual(kept.sort(byKey));
  });
});

describe("a drawing", () => {
  test.each(drawings)("%s labels its parts with numbers of the file", (drawing) => {
    const text = noteText(drawing);
    for (const [, key, label] of text.matchAll(/data-value="([^"]+)"[^>]*>([^<]*)</g)) {
      expect(label).toBe(VALUES[key!]?.written);
    }
    const plain = [...text.matchAll(/<text(?![^>]*data-value)[^>]*>([^<]*)</g)].map((match) => match[1]!);
    // A part's number comes from the file, so no other label carries one.
    expect(plain.filter((label) => /\d ?(k?ohm|[nu]F|mA)\b/.test(label))).toEqual([]);
    expect(pages.some((page) => noteText(page).includes(`(${drawing})`))).toBe(true);
  });

  test("names pins that do what it says", () => {
    const names: Readonly<Record<string, readonly string[]>> = {
      "driver.svg": ["nitrous1", "fuel4"],
      "keep-alive.svg": ["keepAlive", "armSwitch"],
      "inputs.svg": ["adcASelect", "spiClock", "spiIn"],
      "supply.svg": [],
    };
    for (const [drawing, pins] of Object.entries(names)) {
      const drawn = [...noteText(drawing).matchAll(/GP(\d+)/g)].map((match) => Number(match[1]));
      expect([...new Set(drawn)].sort((a, b) => a - b)).toEqual(pins.map(gpioOf).sort((a, b) => a - b));
    }
  });
});

describe("references", () => {
  const part = (name: string): Part | undefined => CIRCUIT.parts.find(({ ref }) => ref === name);
  /** Keys that a drawing may show at a part: its value, its ratings, and choices or consequences that are no value of it. */
  const keysOf = (name: string): unknown[] => {
    const { value, rating } = part(name)!;
    const besides: Readonly<Record<string, string>> = {
      R3101: "pulse.series-5",
      C2101: "switch.filter",
      D101: "clamp.drain-peak",
      D104: "tap.clamp-current",
      U5: "rail.voltage",
    };
    return [value, ...Object.values(rating), besides[name]];
  };

  test.each(drawings)("%s shows parts of the circuit, with their values", (drawing) => {
    const text = noteText(drawing);
    const drawn = [...text.matchAll(/data-ref="([^"]+)"/g)].map((match) => match[1]!);
    const wires = CIRCUIT.wires.map(({ ref }) => ref);
    expect(drawn.filter((name) => part(name) === undefined && !wires.includes(name))).toEqual([]);
    for (const [, key, name] of text.matchAll(/data-value="([^"]+)" data-of="([^"]+)"/g))
      expect(keysOf(name!), `${name}: ${key}`).toContain(key);
  });

  test("that the pages name are in the circuit", () => {
    const known = new Set([...CIRCUIT.parts, ...CIRCUIT.wires].map(({ ref }) => ref));
    const named = pages.flatMap((page) =>
      [...noteText(page).matchAll(/(?<![\w.-])((?:R|C|D|Q|F|K|U|J|S|W|LK)\d{1,4})(?![\w-])/g)].map(
        (match) => match[1]!,
      ),
    );
    expect(new Set(named).size).toBeGreaterThan(150);
    expect([...new Set(named)].filter((name) => !known.has(name))).toEqual([]);
  });
});

describe("the steps of the first power-up", () => {
  const STEPS = [
    "Measure",
    "Limited current",
    "Flash",
    "Switches and sensors",
    "Lamps",
    "Dummy coils",
    "Coils",
  ];

  test("come in one order, on its page, in its table and for the builder", () => {
    const page = noteText("first-power-up.md");
    const begins = (text: string, i: number): boolean => text.startsWith(STEPS[i]!);
    const heads = [...page.matchAll(/^## (\d)\. (.*)$/gm)];
    expect(heads.map(([, number]) => Number(number))).toEqual([1, 2, 3, 4, 5, 6, 7]);
    expect(heads.every(([, , text], i) => begins(text!, i))).toBe(true);
    const rows = tableRows(page).filter((row) => row.length === 5);
    expect(rows.map((row) => row[0])).toEqual(STEPS.map((step) => step.toLowerCase()));
    const order = noteText("../docs/builder.md").split("## The order")[1]!.split("\n## ")[0]!;
    const items = [...order.matchAll(/^\d\. \*\*([^*]+)\*\*/gm)].map((match) => match[1]!);
    expect(items).toHaveLength(STEPS.length);
    expect(items.every(begins)).toBe(true);
  });

  test("fit a solenoid fuse only for lamps, and the main fuse of the car only for coils", () => {
    const rows = tableRows(noteText("first-power-up.md")).filter((row) => row.length === 5);
    expect(rows.map((row) => row[3])).toEqual([
      "out",
      "out",
      "out",
      "out",
      "10 A each",
      "10 A each",
      "10 A each",
    ]);
    const { written } = VALUES["bench.fuse"]!;
    expect(rows.map((row) => row[2])).toEqual([
      "out",
      ...Array(5).fill(written),
      `${written}, then ${VALUES["supply.fuse-main"]!.written}`,
    ]);
    expect(rows[1]![1]).toContain(VALUES["bench.limit-first"]!.written);
    expect(rows[3]![1]).toContain(VALUES["bench.limit-switches"]!.written);
    expect(rows[4]![4]).toContain(VALUES["bench.lamp"]!.written);
  });

  test("look at every diode of the board before the first power, by its name or that of the first channel", () => {
    const list = noteText("first-power-up.md").split("\nDiodes, with")[1]!.split("\n## ")[0]!;
    const diodes = CIRCUIT.parts.filter(({ kind }) =>
      ["diode", "schottky", "schottky pair", "zener", "suppressor"].includes(kind),
    );
    expect(diodes.length).toBeGreaterThan(60);
    for (const { ref, kind } of diodes) {
      const first =
        Number(ref.slice(1)) < 100 ? ref : kind === "schottky pair" ? "D104" : `D1${ref.slice(-2)}`;
      expect(list, ref).toMatch(new RegExp(`\\b${first}\\b`));
    }
  });

  test("put chips in only after the supplies have been measured", () => {
    const step = noteText("first-power-up.md").split("\n## 2.")[1]!.split("\n## 3.")[0]!;
    const at = (text: string): number => step.indexOf(text);
    expect(at("Every socket is empty")).toBeGreaterThan(0);
    expect(at("U2.3, U3.3, U5.3 and U4.3")).toBeLessThan(at("only now put U1 and U6 to U10"));
  });

  test("name commands that the tool has", () => {
    const commands = ["flash", "status", "watch", "prove", "load"];
    for (const page of ["first-power-up.md", "../docs/builder.md"])
      for (const command of commands) expect(noteText(page)).toContain(`headgate ${command}`);
  });
});

test("every pin that the pages name exists on the header", () => {
  const header = new Set(PINS.map((pin) => pin.gpio));
  for (const page of pages)
    for (const [, gpio] of noteText(page).matchAll(/\bGP(\d+)\b/g)) expect(header).toContain(Number(gpio));
});

test("the fault table names interlocks of the catalogue", () => {
  const section = noteText("two-ways-to-off.md").split("\n## What a single fault does")[1]!;
  const named = tableRows(section)
    .flatMap((row) => row[2]!.split(/[, :]+/))
    .filter((word) => /^[A-Z-]+$/.test(word));
  expect(new Set(named).size).toBeGreaterThan(8);
  for (const id of named) expect(INTERLOCKS.map((interlock) => interlock.id)).toContain(id);
});

test("the cautions are all there", () => {
  const cautions = noteText("README.md");
  for (const said of [
    /Nobody has recorded a run of the image on a physical board/,
    /certified safety level/,
    /high pressure/,
    /[Nn]o flame/,
    /[Vv]ent outside/,
    /guarded arming switch/,
    /makers' instructions/,
    /rules of the place/,
    /licensed/,
    /what each interlock can see/,
  ])
    expect(cautions).toMatch(said);
});
