// One seed for every property, so that a red run is the doing of the change under test; HEADGATE_SEED=random explores. A quarter of the runs on any day.
import fc from "fast-check";
import { ALL_RUNS } from "./effort.ts";

const wanted = process.env.HEADGATE_SEED ?? "20261125";
/** Runs of a property that names no number: as many as fast-check makes by itself in CI. */
const numRuns = ALL_RUNS ? 100 : 25;
const seed = wanted === "random" ? {} : { seed: Number(wanted) };
fc.configureGlobal({ ...fc.readConfigureGlobal(), numRuns, ...seed });
