// In place of tests/support/core.ts: every core is a mutated one, and all of them have the same mistake awake.
import { workerData } from "node:worker_threads";
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";
import { wordsFor } from "./seen.ts";

/** `mutants` is how many the watched core tells of; 0 for the core in which they are asleep. */
const { wasm, mutants } = workerData as { wasm: Uint8Array<ArrayBuffer>; mutants: number };
const module = new WebAssembly.Module(wasm);
const WORDS = mutants === 0 ? 0 : wordsFor(mutants);
/** Cores that tests make while they are collected and keep; those made later do not outlive their test. */
const kept: CoreRig[] = [];
let collecting = true;
let awake = 0;

type Switches = Record<string, { value: number }>;
const switches = (rig: CoreRig): Switches => rig.core as unknown as Switches;

function setMutant(rig: CoreRig): void {
  switches(rig).mutant!.value = awake;
}

/** Wakes a mutant, 0 for none, in the cores that are there and in those to come. The first call ends the collecting. */
export function wake(id: number): void {
  collecting = false;
  awake = id;
  for (const rig of kept) setMutant(rig);
}

/** Cores made since `startSeeing`, so many at most: those before them have told what they saw. */
let seeing: CoreRig[] | undefined;
const SEEING_MOST = 500;
const seen = new Array<number>(WORDS).fill(0);

function tell(rigs: readonly CoreRig[]): void {
  for (const rig of rigs)
    for (let word = 0; word < WORDS; word++) {
      const global = switches(rig)[`seen${word}`]!;
      seen[word]! |= global.value;
      global.value = 0;
    }
}

/** From now on it is kept which mistakes would have made a difference. Only the watched core tells. */
export function startSeeing(): void {
  tell(kept);
  seen.fill(0);
  seeing = [];
}

/** Bits of the mistakes that would have made one since `startSeeing`. */
export function stopSeeing(): number[] {
  tell([...kept, ...(seeing ?? [])]);
  seeing = undefined;
  return [...seen];
}

function made(rig: CoreRig): CoreRig {
  if (collecting) kept.push(rig);
  if (seeing?.push(rig) === SEEING_MOST) tell(seeing.splice(0, SEEING_MOST / 2));
  setMutant(rig);
  return rig;
}

export function freshCore(): CoreRig {
  return made(new CoreRig(module));
}

export function coreOn(flash: MemoryFlash): CoreRig {
  return made(new CoreRig(module, flash));
}
