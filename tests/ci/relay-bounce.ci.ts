// The master relay's contact bounces as it closes: a sound pump passes the self-test all the same, and one that holds is found.
import { expect, test } from "vitest";
import { TestBench } from "#host/bench/prove/test-bench.ts";
import { value } from "../hardware-notes/values.ts";
import { benchOptions, PROVING } from "../support/proving.ts";

const ARMING_US = 300_000;

/** Arms with this fault of the relay; the mode afterwards. */
async function armsWith(bench: TestBench, fault: "none" | "holds-high"): Promise<number> {
  const { relay } = bench.board.harness;
  relay.setFault(fault);
  bench.cycleArm();
  bench.board.runFor(ARMING_US);
  const { mode } = await bench.client.status();
  return Number(mode);
}

test("a pump that holds while its pin is high locks out, however the contact bounces", async () => {
  const bench = new TestBench(PROVING, benchOptions());
  await bench.start();
  const lastNs = value("relay.bounce") * 1e9;
  bench.board.harness.relay.bouncesNs = [0.3, 0.5, 0.7, 1].map((share) => share * lastNs);
  const [sound, held] = [await armsWith(bench, "none"), await armsWith(bench, "holds-high")];
  expect([sound, held]).toEqual([2, 6]);
});
