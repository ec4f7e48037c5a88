// A schematic program of others reads the netlist: Debian's pcb-rnd imports it, and the nets and pins that come out are those of the circuit.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { CIRCUIT, nets } from "#shared-schema/circuit/circuit.ts";
import { tempFolder } from "../support/temp-folder.ts";

const NETLIST = join(import.meta.dirname, "../../hardware-notes/circuit.net");

/** Pins on each net after the program has read the file and saved a board of its own. */
function imported(): Map<string, string[]> {
  const board = join(tempFolder(), "board.lht");
  const commands = `LoadEeschemaFrom(${NETLIST})\nSaveTo(LayoutAs,${board})\nQuit(force)\n`;
  const home = tempFolder();
  execFileSync("pcb-rnd", ["--gui", "batch"], {
    input: commands,
    stdio: "pipe",
    timeout: 60_000,
    env: { ...process.env, HOME: home },
  });
  const text = readFileSync(board, "utf8").split("ha:netlists {")[1]!;
  const input = text.split("li:input {")[1]!.split(/^ {2}\}/m)[0]!;
  const found = [...input.matchAll(/ha:([^\s{]+) \{\s+li:conn \{([^}]*)\}/g)];
  return new Map(
    found.map(([, net, pins]) => [
      net!,
      pins!
        .split(";")
        .flatMap((pin) => pin.trim() || [])
        .sort(),
    ]),
  );
}

/** The same from the circuit: parts' pins, and the two ends of each wire. */
function expected(): Map<string, string[]> {
  return new Map(
    [...nets(CIRCUIT)].map(([net, ends]) => {
      const own = ends.map(({ part, pin }) => `${part.ref}-${pin.no}`);
      const at = new Set(ends.map(({ part, pin }) => `${part.ref}.${pin.no}`));
      const wires = CIRCUIT.wires.flatMap(({ ref, from, to }) => [
        ...(at.has(from) ? [`${ref}-1`] : []),
        ...(at.has(to) ? [`${ref}-2`] : []),
      ]);
      return [net, [...own, ...wires].sort()];
    }),
  );
}

test("pcb-rnd imports the netlist with the same nets and pins", () => {
  const byName = (all: Map<string, string[]>): [string, string[]][] =>
    [...all].sort(([a], [b]) => (a < b ? -1 : 1));
  expect(byName(imported())).toEqual(byName(expected()));
});
