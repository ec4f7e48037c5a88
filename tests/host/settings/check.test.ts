// A bad file says everything that is wrong with it, each at its place, with what it got and what it takes.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { checkSettings } from "#host/settings/check.ts";
import { exampleDocument } from "#host/settings/example.ts";
import type { Issue } from "#host/settings/issue.ts";
import { formatSettings } from "#host/settings/write.ts";
import { checkDocument } from "#shared-schema/settings/document.ts";
import { LAYOUT_VERSION, SETTINGS } from "#shared-schema/settings/settings.ts";
import { fileKey } from "#shared-schema/settings/table.ts";
import { FULL_DOCUMENT } from "./documents.ts";

const PLAIN = formatSettings(exampleDocument());
const FULL = formatSettings(FULL_DOCUMENT);

/** Issues of a good file in which one text was replaced by another, and the place of the replacement. */
function issuesOf(from: string, to: string, text = PLAIN): { issues: readonly Issue[]; line: number } {
  const at = text.indexOf(from);
  if (at < 0) throw new Error(`"${from}" is not in the file`);
  const issues = checkSettings(text.replace(from, to)).issues;
  return { issues, line: text.slice(0, at).split("\n").length + (from.startsWith("\n") ? 1 : 0) };
}

describe("one mistake, one message at its place", () => {
  test.each([
    ["wrong unit", "open: 3500 rpm", "open: 3500 psi", "wrong-unit", "windows.engine-speed.open"],
    ["unknown unit", "open: 3500 rpm", "open: 3500 rmp", "wrong-unit", "windows.engine-speed.open"],
    ["missing unit", "open: 3500 rpm", "open: 3500", "missing-unit", "windows.engine-speed.open"],
    ["no number", "open: 3500 rpm", "open: high", "bad-number", "windows.engine-speed.open"],
    ["no value", "open: 3500 rpm", "open:", "wrong-shape", "windows.engine-speed.open"],
    ["outside limits", "open: 3500 rpm", "open: 1500 rpm", "limit", "windows.engine-speed.open"],
    ["far outside limits", "open: 3500 rpm", "open: 70000 rpm", "limit", "windows.engine-speed.open"],
    ["negative", "frequency: 20 Hz", "frequency: -20 Hz", "limit", "flow.frequency"],
    ["unknown key", "frequency: 20 Hz", "frequenzy: 20 Hz", "unknown-key", "flow.frequenzy"],
    ["wrong word", "kind: wet", "kind: damp", "wrong-word", "stages.1.kind"],
    ["list for a value", "frequency: 20 Hz", "frequency: [20 Hz]", "wrong-shape", "flow.frequency"],
    ["value for a pair", "- [0 s, 30 %]", "- 0.4 s", "wrong-shape", "stages.1.ramps.1.points.1"],
    ["missing share", "- [0 s, 30 %]", "- [0.4 s]", "wrong-shape", "stages.1.ramps.1.points.1"],
    ["share over all", "30 %]", "130 %]", "limit", "stages.1.ramps.1.points.1"],
    ["axis of another unit", "[0 s, 30", "[0 rpm, 30", "wrong-unit", "stages.1.ramps.1.points.1"],
    ["another version", `version: ${LAYOUT_VERSION}`, "version: 99", "wrong-version", "version"],
  ])("%s", (_, from, to, code, field) => {
    const { issues, line } = issuesOf(from, to);
    expect(issues.map((issue) => [issue.code, issue.field, issue.line])).toEqual([[code, field, line]]);
    expect(issues[0]!.column).toBeGreaterThan(0);
  });

  test.each([
    [
      "ramp that goes backwards",
      "[1.5 s, 100 %]",
      "[0 s, 100 %]",
      "ramp-rising",
      "stages.1.ramps.1.points.2",
    ],
    ["window below 3000 rpm", "open: 3500 rpm", "open: 2500 rpm", "low-speed", "windows.engine-speed.open"],
    [
      "close above the limiter",
      "close: 6700 rpm",
      "close: 7500 rpm",
      "limiter-margin",
      "windows.engine-speed.close",
    ],
    [
      "ramp over an axis without its sensor",
      "over: time\n",
      "over: launch\n",
      "ramp-needs-launch",
      "stages.1.ramps.1.over",
    ],
    ["throttle not proven", "switch: yes", "switch: no", "throttle-proof", "throttle.switch"],
  ])("%s", (_, from, to, rule, field) => {
    const { issues, line } = issuesOf(from, to);
    expect(issues).toMatchObject([{ code: "rule", rule, field, line }]);
  });

  test.each([
    ["undriven-wheel", ["driveline-needs-driven driveline"]],
    ["driven-wheel", []],
    ["driveshaft", []],
  ])("a driveline watch with its sender at %s", (sender, expected) => {
    const { issues } = checkSettings(FULL.replace("sender: driveshaft", `sender: ${sender}`));
    expect(issues.map(({ rule, field }) => `${rule} ${field}`)).toEqual(expected);
  });

  test("a close speed below that of one road pulse a second: at 1000 a km just under 3.6 km/h", () => {
    const at = (close: string): (string | undefined)[] =>
      checkSettings(
        FULL.replace("pulses: 4000 pulses/km", "pulses: 1000 pulses/km")
          .replace("open: 25 km/h", "open: 1 km/h")
          .replace("close: 300 km/h", `close: ${close}`),
      ).issues.map(({ rule, field }) => `${rule} ${field}`);
    expect(at("3.5 km/h")).toEqual(["road-speed-reach windows.road-speed.close"]);
    expect(at("3.6 km/h")).toEqual([]);
  });

  test("a rule between fields that cannot be read is not told", () => {
    const { issues } = issuesOf("close: 6700 rpm", "close: 67OO rpm");
    expect(issues.map((issue) => issue.code)).toEqual(["wrong-unit"]);
  });
});

describe("hints", () => {
  test("the nearest known key", () => {
    expect(issuesOf("rev-limiter:", "rev-limit:").issues[0]).toMatchObject({
      nearest: "rev-limiter",
      got: "rev-limit",
    });
  });
  test("the nearest known unit and word", () => {
    expect(issuesOf("3500 rpm", "3500 rmp").issues[0]).toMatchObject({ nearest: "rpm" });
    expect(issuesOf("kind: wet", "kind: wett").issues[0]).toMatchObject({
      nearest: "wet",
      takes: "wet, dry",
    });
  });
  test("what was got and what is taken", () => {
    const { issues } = issuesOf("open: 3500 rpm", "open: 1500 rpm");
    expect(issues[0]).toMatchObject({ got: "1500 rpm", takes: "2000 rpm to 14000 rpm" });
  });
});

describe("all at once", () => {
  test("every mistake of a file, in the order of the lines", () => {
    const text = PLAIN.replace("3500 rpm", "3500")
      .replace("20 Hz", "20 bar")
      .replace("kind: wet", "kind: damp");
    const { issues } = checkSettings(text.replace("30 %]", "x]"));
    expect(issues.map((issue) => issue.code)).toEqual([
      "missing-unit",
      "wrong-unit",
      "wrong-word",
      "bad-number",
    ]);
    const lines = issues.map((issue) => issue.line);
    expect(lines).toEqual([...lines].sort((a, b) => a - b));
  });

  test("a missing key, at the group that misses it", () => {
    const { issues } = issuesOf("  frequency: 20 Hz\n", "");
    expect(issues.map((i) => [i.code, i.field])).toEqual([["missing-key", "flow.frequency"]]);
    expect(PLAIN.split("\n")[issues[0]!.line - 1]).toBe("flow:");
  });

  test("a missing group is told once", () => {
    const { issues } = checkSettings(`version: ${LAYOUT_VERSION}\n`);
    const needed = SETTINGS.fields.filter((node) => node.kind !== "group" || !node.optional);
    expect(issues.map((i) => i.field)).toEqual(needed.map(fileKey));
  });

  test("too many stages", () => {
    const stages = FULL.slice(FULL.indexOf("\nstages:\n") + 9);
    const { issues } = checkSettings(FULL + stages);
    expect(issues.map((i) => [i.code, i.field])).toEqual([["wrong-count", "stages"]]);
  });

  test("text that is no YAML, or no keys at all", () => {
    expect(checkSettings("a: [1\nb: }").issues[0]!.code).toBe("yaml-syntax");
    expect(checkSettings("flow:\n  frequency: 1 Hz\n  frequency: 2 Hz\n").issues[0]!.code).toBe(
      "yaml-syntax",
    );
    expect(checkSettings("").issues[0]!.code).toBe("wrong-shape");
    expect(checkSettings("- 1").issues[0]!.code).toBe("wrong-shape");
  });
});

describe("pressures", () => {
  const open = "open: 85 kPa absolute";
  const read = (to: string): unknown => {
    const { document, issues } = checkSettings(FULL.replace(open, `open: ${to}`));
    return document
      ? (document.windows as { manifold: { openDeciKpa: number } }).manifold.openDeciKpa
      : issues;
  };

  test("a gauge reading has the standard atmosphere added (101.325 kPa)", () => {
    expect(read("0 psi gauge")).toBe(1013);
    expect(read("-0.5 bar gauge")).toBe(513);
    expect(read("14 psi absolute")).toBe(965);
    expect(read("14 psia")).toBe(965);
  });
  test("without a reference it is refused, and says so", () => {
    expect(read("85 kPa")).toMatchObject([
      { code: "pressure-reference", text: expect.stringContaining("gauge") },
    ]);
  });
  test("a difference takes no reference", () => {
    const { issues } = issuesOf("hysteresis: 2 kPa", "hysteresis: 2 kPa gauge", FULL);
    expect(issues).toMatchObject([{ code: "pressure-reference", field: "windows.manifold.hysteresis" }]);
  });
});

describe("forms", () => {
  test("values are rounded to what can be stored", () => {
    const { document } = checkSettings(PLAIN.replace("open: 3500 rpm", "open: 3499.6 rpm"));
    expect(document).toEqual(exampleDocument());
  });
  test("yes and no may be written true and false", () => {
    expect(checkSettings(PLAIN.replace("switch: yes", "switch: true")).document).toEqual(exampleDocument());
  });
  test("a value may be written once and used again", () => {
    const text = PLAIN.replace("nitrous-solenoid:", "nitrous-solenoid: &valve");
    const fuel = text.slice(text.indexOf("    fuel-solenoid:"), text.indexOf("    # enrichment:"));
    expect(checkSettings(text.replace(fuel, "    fuel-solenoid: *valve\n")).document).toEqual(
      exampleDocument(),
    );
  });
  test("a value that contains itself is refused", () => {
    const { issues } = issuesOf("frequency: 20 Hz", "frequency: &a [*a, *a]");
    expect(issues[0]).toMatchObject({ code: "wrong-shape" });
  });
});

const lines = PLAIN.split("\n");
const damage = fc.tuple(
  fc.nat(lines.length - 1),
  fc.constantFrom("cut", "twice", "indent", "dash"),
  fc.string(),
);

test.prop([damage])(
  "any damaged line: no exception, and a document only when the table agrees",
  ([at, how, junk]) => {
    const line = lines[at]!;
    const other = {
      cut: line.slice(0, line.length / 2) + junk,
      twice: `${line}\n${line}`,
      indent: `   ${line}`,
      dash: `- ${line}`,
    };
    const { document, issues } = checkSettings(lines.with(at, other[how as keyof typeof other]).join("\n"));
    expect(document === undefined).toBe(issues.length > 0);
    if (document) expect(checkDocument(document)).toEqual([]);
  },
);

test.prop([fc.string({ maxLength: 200 })])("any text at all: no exception", (text) => {
  expect(checkSettings(text).issues.length).toBeGreaterThan(0);
});
