// As tests: rides that the tick in C has made, a second core written by hand; a mutated core must say in each tick what it said.
import { readFileSync } from "node:fs";
import { deserialize } from "node:v8";
import { workerData } from "node:worker_threads";
import { firstOther, type Ride } from "../bench/tick-c/rides.ts";
import { WipedFlash } from "../support/wiped-flash.ts";
import { expect, test } from "./collect.ts";
import { coreOn } from "./core.ts";

/** So many rides make a test: what one notices, the next need not try. */
const GROUP = 4;

const { rides } = workerData as { rides: string };
const list = deserialize(readFileSync(rides)) as readonly Ride[];
const flash = new WipedFlash();

for (let first = 0; first < list.length; first += GROUP)
  test(`says what the tick in C says in rides ${first + 1} to ${first + GROUP}`, () => {
    for (const ride of list.slice(first, first + GROUP))
      expect(firstOther(coreOn(flash.wipe()), ride)).toBeUndefined();
  });
