// Who may import whom: cli -> report, bench, logbook, plan, link, settings -> shared-schema; every part keeps to the table here.
import { describe, expect, test } from "vitest";
import { importsOf, isGenerated, SOURCES } from "./sources.ts";

/** Parts that each part may import. Those above come later in the chain; a cycle cannot be written down here. */
const ALLOWED: Readonly<Record<string, readonly string[]>> = {
  "shared-schema": [],
  "host/units": [],
  "host/codec": [],
  "host/errors": ["shared-schema"],
  "host/image": ["shared-schema", "host/codec", "host/errors"],
  "host/settings": ["shared-schema", "host/units", "host/codec", "host/errors"],
  "host/link": ["shared-schema", "host/codec", "host/errors"],
  "host/car": ["shared-schema", "host/units"],
  "host/plan": ["shared-schema", "host/units", "host/errors", "host/car"],
  "host/logbook": ["shared-schema", "host/units", "host/codec", "host/errors"],
  "host/bench": ["shared-schema", "host/units", "host/codec", "host/errors", "host/image", "host/car"],
  "host/replay": ["shared-schema", "host/codec", "host/logbook", "host/bench"],
  "host/learn": ["shared-schema", "host/units", "host/car", "host/logbook", "host/plan"],
  "host/report": [
    "shared-schema",
    "host/units",
    "host/errors",
    "host/settings",
    "host/link",
    "host/car",
    "host/plan",
    "host/logbook",
    "host/bench",
    "host/replay",
    "host/learn",
  ],
  "firmware/core": [],
  "firmware/build": ["shared-schema", "host/codec", "host/image"],
};
/** Parts at the end of the chain: nobody imports them, they may import any other. */
const ENDS = ["host/cli", "host/demo", "host", "tests"];

/** The one part that may use a package. */
const HOMES: Readonly<Record<string, readonly string[]>> = {
  serialport: ["host/link"],
  rp2040js: ["host/bench"],
  commander: ["host/cli"],
  "@commander-js/extra-typings": ["host/cli"],
  assemblyscript: ["firmware/build"],
  wabt: ["firmware/build"],
};

function partOf(path: string): string {
  const [top = "", second = ""] = path.split("/");
  const inFolder = (top === "host" || top === "firmware") && !second.includes(".");
  return inFolder ? `${top}/${second}` : top;
}

const packageOf = (specifier: string): string =>
  specifier
    .split("/")
    .slice(0, specifier.startsWith("@") ? 2 : 1)
    .join("/");

const typescript = SOURCES.filter((path) => path.endsWith(".ts") && path.includes("/"));
const imports = typescript.flatMap((path) =>
  importsOf(path).map((specifier) => ({ path, part: partOf(path), specifier })),
);
const told = ({ path, specifier }: { path: string; specifier: string }): string => `${path}: ${specifier}`;

/** A relative import that climbs out of the part of its file. */
function leaves({ path, specifier }: { path: string; specifier: string }): boolean {
  const up = specifier.split("/").filter((step) => step === "..").length;
  const depth = path.split("/").length - 1 - partOf(path).split("/").length;
  return up > depth;
}

describe("between parts", () => {
  test("the sources are read at all", () => {
    expect(imports.length).toBeGreaterThan(500);
    expect(new Set(imports.map(({ part }) => part))).toContain("host/link");
  });

  test("every part stands in the table", () => {
    const parts = new Set(typescript.map(partOf));
    for (const part of parts) expect([...Object.keys(ALLOWED), ...ENDS]).toContain(part);
  });

  test("imports keep to the table", () => {
    const wrong = imports.filter(({ part, specifier }) => {
      if (!specifier.startsWith("#") || ENDS.includes(part)) return false;
      const other = partOf(specifier.slice(1));
      return other !== part && !ALLOWED[part]!.includes(other);
    });
    expect(wrong.map(told)).toEqual([]);
  });

  test("the table has no cycle: every part only names parts above it", () => {
    const order = Object.keys(ALLOWED);
    for (const [part, others] of Object.entries(ALLOWED))
      for (const other of others) expect(order.indexOf(other)).toBeLessThan(order.indexOf(part));
  });

  test("nothing outside cli, demo and tests is imported from an end of the chain", () => {
    const wrong = imports.filter(
      ({ part, specifier }) =>
        specifier.startsWith("#") && !ENDS.includes(part) && ENDS.includes(partOf(specifier.slice(1))),
    );
    expect(wrong.map(told)).toEqual([]);
  });
});

describe("within a part", () => {
  test("relative imports stay inside it", () => {
    const relative = imports.filter(({ specifier, part }) => specifier.startsWith(".") && part !== "tests");
    expect(relative.filter(leaves).map(told)).toEqual([]);
  });

  test("imports name their file with its ending; the core's, as its compiler wants, without", () => {
    const own = imports.filter(({ specifier }) => /^[.#]/.test(specifier));
    const wrong = own.filter(({ part, specifier }) =>
      part === "firmware/core" ? /\.ts$/.test(specifier) : !/\.(ts|json|js)$/.test(specifier),
    );
    expect(wrong.map(told)).toEqual([]);
  });

  test("the core imports nothing but itself and what is generated for it", () => {
    const wrong = imports.filter(
      ({ part, specifier }) => part === "firmware/core" && !specifier.startsWith("./"),
    );
    expect(wrong.map(told)).toEqual([]);
    expect(isGenerated("firmware/core/generated/blocks.ts")).toBe(true);
  });
});

describe("packages", () => {
  const packages = imports.filter(({ specifier }) => !/^[.#]|^node:/.test(specifier));

  test("each of the large ones has one home", () => {
    const wrong = packages.filter(({ part, specifier }) => {
      const homes = HOMES[packageOf(specifier)];
      return homes !== undefined && part !== "tests" && !homes.includes(part);
    });
    expect(wrong.map(told)).toEqual([]);
  });

  test("the shared schema needs zod only, and Node itself only to write its files", () => {
    const outside = imports.filter(
      ({ part, specifier }) => part === "shared-schema" && !/^\.|^zod$/.test(specifier),
    );
    const wrong = outside.filter(({ path }) => !path.startsWith("shared-schema/generate"));
    expect(wrong.map(told)).toEqual([]);
    for (const { specifier } of outside) expect(specifier).toMatch(/^node:(fs|path|crypto)$/);
  });
});
