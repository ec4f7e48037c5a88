// One power cut: flash torn in the middle of an operation, started again, perhaps cut once more, and what must hold then.
import { numberOf, type Values } from "#host/link/payload.ts";
import { SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { PowerLost, PREFIX_TEARS, tearOf } from "../../support/failing-flash.ts";
import { Random } from "../../support/random.ts";
import { SLOTS_FROM, type StorageBench } from "./bench.ts";
import { type InForce, LAST, type Point, type Scenario } from "./scenarios.ts";

/** Operations of a recovery at most. */
const RECOVERY_OPERATIONS = 9;

/** Name of a case; given in HEADGATE_CASE it reruns this one alone. */
export function caseId({ scenario, index }: Point, n: number): string {
  return `${scenario.name}/${index}/${n}`;
}

/** What the core says and gives back is one of the allowed; which. Throws when not. */
function inForce(
  bench: StorageBench,
  { foreignNumber = 0 }: Scenario,
  allowed: Point["allowed"],
): InForce | undefined {
  const hello = bench.hello();
  const n = (name: string): number => numberOf(hello, name);
  if (n("slot") === 0) {
    const right = allowed.includes(undefined) && n("boardNumber") === foreignNumber;
    if (!right) throw new Error(`no settings: ${said(hello)}`);
    return undefined;
  }
  const found = allowed.find(
    (one) =>
      one?.load.crc === n("settingsCrc") &&
      one.sequence === n("settingsSequence") &&
      one.number === n("boardNumber"),
  );
  if (!found) throw new Error(`settings that cannot be: ${said(hello)}`);
  if (!bench.holds(found.load.block)) throw new Error(`not what it says it holds: ${said(hello)}`);
  return found;
}

/** Just started: besides, the note about the start fits. */
function startedWith(bench: StorageBench, point: Point, allowed: Point["allowed"]): InForce | undefined {
  bench.powerOn();
  const found = inForce(bench, point.scenario, allowed);
  const { ok, cutOff, wrongSchema, empty, damaged } = SLOT_NOTES;
  const none = point.scenario.foreign ? [wrongSchema] : [empty, damaged];
  const fit: readonly unknown[] = found ? [ok, cutOff] : none;
  const hello = bench.hello();
  if (!fit.includes(hello.slotNote)) throw new Error(`wrong note: ${said(hello)}`);
  return found;
}

const said = (hello: Values): string => JSON.stringify(hello);

/** Another cut in the slow work after the start. */
function cutAgain(bench: StorageBench, random: Random): void {
  let left = random.below(RECOVERY_OPERATIONS);
  bench.flash.onOperation = (operation) =>
    left-- === 0 ? tearOf(operation, random.below(8 * PREFIX_TEARS), random) : undefined;
  try {
    bench.idle();
  } catch (thrown) {
    if (!(thrown instanceof PowerLost)) throw thrown;
    bench.flash.onOperation = undefined;
    bench.powerOn();
  }
  bench.flash.onOperation = undefined;
}

/** Settings of another schema stay as they are as long as nothing else is in force. */
function foreignStays(bench: StorageBench, { scenario }: Point): void {
  if (!scenario.foreign) return;
  const now = bench.flash.bytes.subarray(SLOTS_FROM, SLOTS_FROM + FLASH.sector);
  if (Buffer.compare(now, scenario.foreign) !== 0)
    throw new Error("the settings of the other schema are gone");
}

/** Runs case `n` of a point. Throws when anything does not hold. */
export function runCut(bench: StorageBench, point: Point, n: number): void {
  const random = new Random(point.index * 1_000_003 + n);
  bench.flash.random = random;
  bench.flash.flips = random.between(1, 2);
  bench.restore(point.before);
  bench.flash.tear(point.operation.offset, tearOf(point.operation, n, random));
  startedWith(bench, point, point.allowed);
  if (random.oneIn(2)) cutAgain(bench, random);
  bench.idle();
  const settled = inForce(bench, point.scenario, point.allowed);
  if (!settled) foreignStays(bench, point);
  startedWith(bench, point, [settled]);
  if (random.oneIn(4)) loadAfter(bench, point.scenario, settled);
}

/** A second load, with or without time for slow work before it, is in force at once and after the next start. */
function loadAfter(bench: StorageBench, scenario: Scenario, settled: InForce | undefined): void {
  inForce(bench, scenario, [settled]);
  bench.send(LAST);
  const sequence = bench.commit(LAST);
  const number = (settled?.number ?? scenario.foreignNumber) || LAST.number;
  const stored = [{ load: LAST, sequence, number }];
  inForce(bench, scenario, stored);
  bench.powerOn();
  inForce(bench, scenario, stored);
}
