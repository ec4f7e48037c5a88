// Runs decks through ngspice as WebAssembly (package eecircuit-engine), one after the other.
import type { Simulation } from "eecircuit-engine";
import type { Deck } from "./deck.ts";

/** A solved run: time, s, and a vector, V or A, for each name that the deck saves. */
export interface Trace {
  readonly time: readonly number[];
  vector(name: string): readonly number[];
}

/** The package makes a `window` for itself. It is there only while the package runs: others would take Node for a browser. */
interface Engine {
  readonly simulation: Simulation;
  readonly window: unknown;
}

let started: Promise<Engine> | undefined;
const all = globalThis as { window?: unknown };

async function engine(): Promise<Engine> {
  const { Simulation } = await import("eecircuit-engine");
  const simulation = new Simulation();
  await simulation.start();
  const { window } = all;
  delete all.window;
  return { simulation, window };
}

async function run({ simulation, window }: Engine, text: string) {
  all.window = window;
  try {
    simulation.setNetList(text);
    return await simulation.runSim();
  } finally {
    delete all.window;
  }
}

/** What a deck comes to. Throws with the simulator's own words when it cannot be solved to its end. */
export async function solved({ text, stopS }: Deck): Promise<Trace> {
  started ??= engine();
  const ready = await started;
  const { data, dataType } = await run(ready, text);
  const end = data.find(({ name }) => name === "time")?.values.at(-1);
  if (dataType !== "real" || end === undefined || Number(end) < stopS * (1 - 1e-6))
    throw new Error(`ngspice: ${ready.simulation.getError().join("; ")}\n${text}`);
  const named = new Map(data.map(({ name, values }) => [name.toLowerCase(), values]));
  const vector = (name: string): readonly number[] => {
    const found = named.get(name.toLowerCase());
    if (!found) throw new Error(`ngspice saved no ${name}, only ${[...named.keys()].join(", ")}`);
    return found;
  };
  return { time: vector("time"), vector };
}
