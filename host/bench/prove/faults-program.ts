// Faults of the program itself: it hangs, traps or runs out of bounds; and what is asked of it at the wrong time.
import { gpioOf } from "#shared-schema/model/pins.ts";
import { STARTED_US } from "../board/boot.ts";
import { allowedUs, RELAY_US } from "./allowed.ts";
import { column } from "./board-client.ts";
import { faultProblems, reasonProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { NotShown, phaseUs, type Scenario, type Trial } from "./scenario.ts";
import { SOLENOID_PINS, type TestBench } from "./test-bench.ts";
import { atNextEntry, jumpTo } from "./watched-entry.ts";

const LOOP_FOR_EVER = Uint8Array.of(0xfe, 0xe7);
const UNDEFINED = Uint8Array.of(0x00, 0xde);
/** After its start the program knows sensors and speeds when they have been measured, and holds off for a while until then. */
const MEASURED_US = 600_000;
/** Less than the watchdog's time. */
const HUNG_US = 3_000;
const NEXT_RISE_US = 1_000_000;
const RISE_STEP_US = 100;
const RESTARTED_US = STARTED_US + MEASURED_US;

/** How the program is broken: entering `at` ends it, by an instruction put there or by a jump. */
interface Break {
  readonly row: "TRAP" | "HANG";
  readonly fault: string;
  readonly at: string;
  readonly code?: Uint8Array;
  readonly jump?: string;
}

const BOOT_REASON = { TRAP: "trap", HANG: "watchdog" } as const;

function strike(bench: TestBench, { at, code, jump }: Break): { ns: number } {
  bench.board.raiseFaults = true;
  return atNextEntry(bench, at, () => {
    if (code) bench.board.patch(at, code);
    if (jump) jumpTo(bench, jump);
  });
}

async function restartProblems(bench: TestBench, row: Break["row"]): Promise<string[]> {
  const { bootReason } = await bench.client.hello();
  const live = await bench.client.status();
  return [
    ...(bootReason === BOOT_REASON[row]
      ? []
      : [`the start's reason is ${bootReason}, not ${BOOT_REASON[row]}`]),
    ...reasonProblems(bench, live, "ARM-BOOT", []),
  ];
}

async function breakTrial(bench: TestBench, broken: Break, trial: number): Promise<Trial> {
  if (trial === 0 && !bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const allowed = allowedUs(rowOf(broken.row), bench)!;
  bench.board.runFor(phaseUs(trial));
  const entered = strike(bench, broken);
  bench.board.runFor(allowed + RELAY_US + RESTARTED_US);
  bench.board.raiseFaults = false;
  if (entered.ns === Number.POSITIVE_INFINITY) {
    bench.board.unwatch(broken.at);
    throw new NotShown();
  }
  const [pinsUs, relayUs] = [bench.lowAfterUs(entered.ns), bench.relayOpenAfterUs(entered.ns)];
  const late = (us: number | undefined, most: number): boolean => us === undefined || us > most;
  const wrong = [
    ...(late(pinsUs, allowed) ? [`pins low after ${Math.round(pinsUs ?? 0)} us`] : []),
    ...(late(relayUs, allowed + RELAY_US) ? ["the master relay did not open in time"] : []),
    ...(await restartProblems(bench, broken.row)),
    ...(bench.staysOff() ? [] : ["it flowed again without the arm switch"]),
    ...(bench.toFlow() ? [] : ["no flow after the arm switch was cycled"]),
    ...(await untouched(bench)),
  ];
  return { pinsUs, relayUs, allowedUs: allowed, wrong };
}

/** It ends in a lockout: whatever resets the program must not release it, power-off must. */
async function keptTrial(bench: TestBench, broken: Break): Promise<Trial> {
  const row = rowOf("KEEP-ALIVE");
  if (!bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  bench.board.harness.relay.setFault("dead");
  bench.board.runFor(row.withinUs! + RELAY_US);
  bench.board.harness.relay.setFault("none");
  const entered = strike(bench, broken);
  const fromNs = bench.nowNs;
  bench.board.runFor(allowedUs(rowOf(broken.row), bench)! + RELAY_US + RESTARTED_US);
  bench.board.raiseFaults = false;
  const { bootReason } = await bench.client.hello();
  const live = await bench.client.status();
  const wrong = [
    ...(entered.ns < Number.POSITIVE_INFINITY && bootReason === BOOT_REASON[broken.row]
      ? []
      : ["it did not restart"]),
    ...faultProblems(bench, row, live, fromNs, row.withinUs!, []),
    ...wayBack(bench, row),
  ];
  return { wrong: [...wrong, ...(await untouched(bench))] };
}

/** Runs until a solenoid pin has just risen: where it stays open, that is after its next gap. */
function toNextRise({ board }: TestBench): void {
  const fromNs = board.nowNs;
  const rose = (name: string): boolean =>
    (board.pins.edges(name).at(-1)?.ns ?? 0) > fromNs && board.pins.level(gpioOf(name)) === 1;
  board.runUntil(() => SOLENOID_PINS.some(rose), NEXT_RISE_US, RISE_STEP_US);
}

/** The main loop hangs, and before the watchdog bites the arm switch goes off: its interrupt needs no main loop. */
async function armOffInHang(bench: TestBench): Promise<Trial> {
  if (!bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const row = rowOf("ARM");
  toNextRise(bench);
  strike(bench, { row: "HANG", fault: "", at: "stages_apply", code: LOOP_FOR_EVER });
  bench.board.runFor(HUNG_US);
  const wrong = bench.anyHighSince(bench.nowNs - HUNG_US * 1000) ? [] : ["nothing flowed any more"];
  const causeNs = bench.nowNs;
  bench.board.harness.setSwitch("arm", false);
  bench.board.runFor(allowedUs(rowOf("HANG"), bench)! + RELAY_US + RESTARTED_US);
  bench.board.raiseFaults = false;
  const pinsUs = bench.lowAfterUs(causeNs);
  if (pinsUs === undefined || pinsUs > row.withinUs!) wrong.push(`pins low after ${pinsUs} us`);
  const { bootReason } = await bench.client.hello();
  if (bootReason !== BOOT_REASON.HANG) wrong.push(`the start's reason is ${bootReason}`);
  wrong.push(...wayBack(bench, row), ...(await untouched(bench)));
  return { pinsUs, allowedUs: row.withinUs, wrong };
}

function keeps(broken: Break): Scenario {
  const { row, fault } = broken;
  return { row, fault, trials: 1, run: (bench) => keptTrial(bench, broken) };
}

function breaks(broken: Break, trials = 3): Scenario {
  const { row, fault } = broken;
  return { row, fault, trials, run: (bench, trial) => breakTrial(bench, broken, trial) };
}

/** A loop for ever at the entry of a function, as one trial; not shown when the function is not entered under flow. */
export function hangAt(symbol: string): Scenario {
  return breaks({ row: "HANG", fault: `${symbol} hangs`, at: symbol, code: LOOP_FOR_EVER }, 1);
}

/** An instruction that does not exist at the entry of a function. */
export function trapAt(symbol: string): Scenario {
  return breaks({ row: "TRAP", fault: `${symbol} traps`, at: symbol, code: UNDEFINED }, 1);
}

/** Everything that changes what is stored, or what may arm. */
const OFF_ONLY: readonly (readonly [string, Readonly<Record<string, number>>, Uint8Array?])[] = [
  ["writeBegin", { id: 7, crc: 1, fingerprint: 1, length: 100 }],
  ["writeData", { id: 7, offset: 0 }, Uint8Array.of(1)],
  ["writeCommit", { id: 7, boardNumber: 0 }],
  ["restart", { target: 0 }],
  ["service", { on: 1 }],
  ["logErase", {}],
];

async function linkTrial(bench: TestBench): Promise<Trial> {
  if (!bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const wrong: string[] = [];
  for (const [name, values, tail] of OFF_ONLY) {
    const fromNs = bench.nowNs;
    const refusal = await bench.client.refusal(name, values, tail);
    if (refusal !== "notOff")
      wrong.push(`${name} was answered with ${refusal ?? "yes"}, not refused as "not off"`);
    bench.board.runFor(1e6 / bench.settings.flow.frequencyHz);
    if (!bench.anyHighSince(fromNs)) wrong.push(`${name} disturbed the flow`);
  }
  const live = await bench.client.status();
  if (column(live, "flowing") === 0) wrong.push("nothing flows any more");
  return { wrong: [...wrong, ...(await untouched(bench))] };
}

/** All of them. */
export const PROGRAM_FAULTS: readonly Scenario[] = [
  breaks({ row: "TRAP", fault: "an instruction that does not exist", at: "stages_apply", code: UNDEFINED }),
  breaks({ row: "TRAP", fault: "the core leaves its memory", at: "pins_apply", jump: "wasm_trap" }),
  breaks({ row: "HANG", fault: "the main loop hangs", at: "stages_apply", code: LOOP_FOR_EVER }),
  keeps({ row: "TRAP", fault: "a trap after a lockout", at: "stages_apply", code: UNDEFINED }),
  keeps({ row: "HANG", fault: "a hang after a lockout", at: "stages_apply", code: LOOP_FOR_EVER }),
  { row: "ARM", fault: "arm switch off while the main loop hangs", trials: 1, run: armOffInHang },
  breaks({ row: "HANG", fault: "an interrupt never ends", at: "spi0_isr", code: LOOP_FOR_EVER }),
  {
    row: "LINK",
    fault: "settings write, log erase, service or restart asked while flowing",
    trials: 1,
    run: linkTrial,
  },
];
