// Runs of the demo car on the core rig, out of the log that it stored, as run files have them.
import { AS_PLANNED, type Conditions, noise, under } from "#host/bench/loop/conditions.ts";
import { openConnectors } from "#host/bench/loop/connectors.ts";
import { RunRandom } from "#host/bench/loop/random.ts";
import { type Run, rehearse } from "#host/bench/loop/rehearse.ts";
import { GO_S, launchScript } from "#host/bench/loop/script.ts";
import type { Facts } from "#host/logbook/run-file/facts.ts";
import type { RunFile } from "#host/logbook/run-file/run-file.ts";
import { pullPages } from "#host/logbook/runs.ts";
import { hex8, settingsBytes } from "#host/settings/hash.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { PROTOCOL_VERSION } from "#shared-schema/link/messages.ts";
import { TICK_US } from "#shared-schema/model/blocks.ts";
import { demoEntry, type Entry, flashWith, rigWith } from "./driven.ts";
import { FlashLog } from "./flash-log.ts";

/** What was driven, and what the controller has stored of it. */
export interface Recorded {
  readonly entry: Entry;
  readonly driven: Run;
  readonly file: RunFile;
}

const FACTS: Facts = {
  run: 1,
  board: "a1b2c3",
  image: "0.1.0",
  imageCrc: "00c0ffee",
  protocol: PROTOCOL_VERSION,
  fingerprint: hex8(FINGERPRINT),
  pulled: "2026-05-01T10:20:30.000Z",
  tool: "0.1.0",
};
/** The controller records for half a second after it is off. */
const AFTER_MS = 600;
const QUARTER_M = 402.336;

/** How a run differs from the planned one. */
export interface Drive {
  readonly conditions?: Partial<Conditions>;
  /** The pedal is lifted so long after the launch switch, s. */
  readonly liftS?: number;
  /** The run goes on for so long after the launch switch, s, in place of the quarter mile. */
  readonly forS?: number;
}

/** Drives the demo car, or another one, and stores its log. */
export async function recorded(
  { conditions = {}, liftS, forS }: Drive = {},
  entry = demoEntry(),
): Promise<Recorded> {
  const all = { ...AS_PLANNED, ...conditions };
  const controller = rigWith(flashWith(entry.settings));
  const disturb = noise(all, new RunRandom(1, 0));
  let last = openConnectors();
  const driven = rehearse({
    ...under(entry, all),
    controller,
    settings: entry.settings,
    script: launchScript(entry.settings, { lateS: all.lateS, liftS }),
    until: forS === undefined ? { distanceM: QUARTER_M } : { atS: GO_S + forS },
    disturb: (connectors) => {
      disturb?.(connectors);
      last = connectors;
    },
  });
  const log = new FlashLog(controller.rig);
  for (let ms = 0; ms < AFTER_MS; ms++) controller.run(last, TICK_US);
  log.settle();
  const pages = await pullPages(log, log.now(), 1);
  return {
    entry,
    driven,
    file: {
      facts: FACTS,
      pages,
      settings: { fingerprint: FINGERPRINT, block: settingsBytes(entry.settings) },
    },
  };
}
