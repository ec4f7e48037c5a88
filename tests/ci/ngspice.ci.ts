// A second opinion: Debian's ngspice solves a sample of the same decks; release and peak agree with the kept rows.
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import type { DriverTimes } from "../circuit/spice/driver.ts";
import { readTimes } from "../circuit/spice/kept.ts";
import { jobsOf, type Row } from "../circuit/spice/times.ts";
import { value } from "../hardware-notes/values.ts";
import { tempFolder } from "../support/temp-folder.ts";

const SOUND = jobsOf(CIRCUIT, value).filter(({ name }) => /^driver.* Hz$/.test(name));

/** Columns of what the simulator writes for some vectors: time and value of each in turn. */
function columns(text: string, vectors: readonly string[]): number[][] {
  const folder = tempFolder();
  const [deck, out] = [join(folder, "deck.cir"), join(folder, "out.txt")];
  const control = `.control\nset wr_singlescale\nrun\nwrdata ${out} ${vectors.join(" ")}\nquit\n.endc\n.end`;
  writeFileSync(deck, text.replace(/\.end$/, control));
  execFileSync("ngspice", ["-b", deck], { stdio: "pipe" });
  return readFileSync(out, "utf8")
    .trim()
    .split("\n")
    .map((line) => line.trim().split(/\s+/).map(Number));
}

test.each(SOUND)("$name", (job) => {
  const kept = readTimes().rows.find(({ name }) => name === job.name) as Row & DriverTimes;
  const rows = columns(job.decks(value)[0]!.text, ["i(ly1)", "v(n_nitrous1_drain)"]);
  const offS = (1 + 0.7) / Number(/(\d+) Hz$/.exec(job.name)![1]);
  const released = rows.find(([s, amps]) => s! >= offS && Math.abs(amps!) < value("coil.release-current"))!;
  const peak = rows.reduce((most, [, , volts]) => Math.max(most, volts!), 0);
  expect(Math.abs((released[0]! - offS) / kept.releaseS! - 1)).toBeLessThan(0.03);
  expect(Math.abs(peak / kept.peakV - 1)).toBeLessThan(0.03);
});
