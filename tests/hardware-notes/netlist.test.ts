// The netlist for schematic programs: whole as an S-expression, every part once, every pin and wire end on exactly one net.
import { expect, test } from "vitest";
import { CIRCUIT, nets } from "#shared-schema/circuit/circuit.ts";
import { noteText } from "./values.ts";

type Tree = string | Tree[];

/** Reads one S-expression with quoted texts. Throws when a bracket is missing. */
function read(text: string): Tree[] {
  const stack: Tree[][] = [[]];
  for (const [token] of text.matchAll(/[()]|"(?:[^"\\]|\\.)*"|[^\s()]+/g)) {
    if (token === "(") stack.push([]);
    else if (token === ")") {
      const done = stack.pop()!;
      stack.at(-1)!.push(done);
    } else stack.at(-1)!.push(token.replace(/^"|"$/g, ""));
  }
  if (stack.length !== 1) throw new Error("brackets do not fit");
  return stack[0]![0] as Tree[];
}

const named = (tree: Tree[], name: string): Tree[][] =>
  tree.filter((item): item is Tree[] => Array.isArray(item) && item[0] === name);
const field = (tree: Tree[], name: string): string => String(named(tree, name)[0]![1]);

const file = read(noteText("circuit.net"));

test("every part and wire stands in it once", () => {
  const refs = named(named(file, "components")[0]!, "comp").map((comp) => field(comp, "ref"));
  expect(refs.sort()).toEqual([...CIRCUIT.parts, ...CIRCUIT.wires].map(({ ref }) => ref).sort());
});

test("every pin and every end of a wire lies on its net, and on no other", () => {
  const found = named(named(file, "nets")[0]!, "net").flatMap((net) =>
    named(net, "node").map((node) => `${field(node, "ref")}.${field(node, "pin")} ${field(net, "name")}`),
  );
  const pins = [...nets(CIRCUIT)].flatMap(([net, ends]) =>
    ends.map(({ part, pin }) => `${part.ref}.${pin.no} ${net}`),
  );
  const ends = found.filter((one) => /^W/.test(one));
  expect(found.filter((one) => !/^W/.test(one)).sort()).toEqual(pins.sort());
  expect(new Set(ends.map((one) => one.split(" ")[0])).size).toBe(2 * CIRCUIT.wires.length);
  expect(ends).toHaveLength(2 * CIRCUIT.wires.length);
});
