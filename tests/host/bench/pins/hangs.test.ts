// A loop or a wrong instruction at the entry of the program's functions, under flow: pins low and relay open in time, not armed after it, reason kept.
import { expect, test } from "vitest";
import { hangAt, trapAt } from "#host/bench/prove/faults-program.ts";
import { prove } from "#host/bench/prove/prove.ts";
import { WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import { ALL, sample } from "../../../support/effort.ts";
import { benchOptions, PROVING, releasedBoard } from "../../../support/proving.ts";

const RAM = 0x20000000;
/** Every day one that every pass of the loop enters, in CI every function that lies in RAM. */
const DAILY = ["pins_apply"];
/** The handlers of a trap end the program anyway: nothing can be entered after them. */
const ENDINGS = ["fault_handler", "fault_entry", "trap", "watchdog_reset"];

function functions(): string[] {
  const { symbols } = releasedBoard();
  const inRam = symbols.functions.filter(
    ({ address, size, name }) => address >= RAM && size > 2 && !ENDINGS.includes(name),
  );
  return inRam.map(({ name }) => name);
}

test(`a hang at ${ALL ? "every function" : "a function"} ends with everything off in ${WATCHDOG_US} us`, async () => {
  const scenarios = (ALL ? functions() : DAILY).map(hangAt);
  const findings = await prove(PROVING, { ...benchOptions(), scenarios });
  expect(findings.filter(({ outcome }) => outcome === "failed")).toEqual([]);
  const entered = findings.filter(({ outcome }) => outcome === "passed");
  expect(entered.length).toBeGreaterThanOrEqual(ALL ? 20 : DAILY.length);
  for (const { pinsUs, relayUs } of entered) {
    expect(pinsUs).toBeLessThanOrEqual(WATCHDOG_US);
    expect(relayUs).toBeLessThanOrEqual(WATCHDOG_US);
  }
  process.stdout.write(`hangs: ${entered.length} functions entered of ${scenarios.length}\n`);
});

test("a trap at a function's entry has all pins low within 10 us", async () => {
  const scenarios = sample(["stages_apply", "w2c_core_tick", "spi0_isr"], 3).map(trapAt);
  const findings = await prove(PROVING, { ...benchOptions(), scenarios });
  expect(findings.map(({ outcome }) => outcome)).toEqual(scenarios.map(() => "passed"));
  for (const { pinsUs, relayUs } of findings) {
    expect(pinsUs).toBeLessThanOrEqual(10);
    expect(relayUs).toBeLessThanOrEqual(WATCHDOG_US);
  }
});
