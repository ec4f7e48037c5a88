// Runs decks through ngspice as WebAssembly (package eecircuit-engine), one after the other.
import { Simulation } from "eecircuit-engine";
import type { Deck } from "./deck.ts";

/** A solved run: time, s, and a vector, V or A, for each name that the deck saves. */
export interface Trace {
  readonly time: readonly number[];
  vector(name: string): readonly number[];
}

let started: Promise<Simulation> | undefined;

async function engine(): Promise<Simulation> {
  const simulation = new Simulation();
  await simulation.start();
  return simulation;
}

/** What a deck comes to. Throws with the simulator's own words when it cannot be solved to its end. */
export async function solved({ text, stopS }: Deck): Promise<Trace> {
  started ??= engine();
  const simulation = await started;
  simulation.setNetList(text);
  const { data, dataType } = await simulation.runSim();
  const end = data.find(({ name }) => name === "time")?.values.at(-1);
  if (dataType !== "real" || end === undefined || Number(end) < stopS * (1 - 1e-6))
    throw new Error(`ngspice: ${simulation.getError().join("; ")}\n${text}`);
  const named = new Map(data.map(({ name, values }) => [name.toLowerCase(), values]));
  const vector = (name: string): readonly number[] => {
    const found = named.get(name.toLowerCase());
    if (!found) throw new Error(`ngspice saved no ${name}, only ${[...named.keys()].join(", ")}`);
    return found;
  };
  return { time: vector("time"), vector };
}
