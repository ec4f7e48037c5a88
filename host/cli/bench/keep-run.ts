// A rehearsal on the core rig as a run file: the log that the core has stored of it, and all that the core read.
import { openConnectors } from "#host/bench/loop/connectors.ts";
import type { RigController } from "#host/bench/loop/rig-controller.ts";
import { runFileBytes } from "#host/logbook/run-file/run-file.ts";
import { splitPages } from "#host/logbook/run-file/saved-pages.ts";
import { Capture } from "#host/replay/exact/capture.ts";
import { moduleCrc, streamBytes } from "#host/replay/exact/stream.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { FLASH, TICK_US } from "#shared-schema/model/blocks.ts";
import type { GoodFile } from "../settings/settings-file.ts";
import { coreBytes } from "./controllers.ts";

/** The core records for half a second after the run, and then stores a page or erases a sector in each pass. */
const AFTER_TICKS = 600;
const STORING_PASSES = 2000;
const BLANK = 0xff;

/** Keeps a run of a controller from now on. */
export class Keeper {
  private readonly controller: RigController;
  private readonly fresh: Uint8Array;
  private readonly capture = new Capture(moduleCrc(coreBytes()));

  /** `fresh`: memory of a core as it is when it is made. */
  constructor(controller: RigController, fresh: Uint8Array) {
    this.controller = controller;
    this.fresh = fresh;
    const { rig } = controller;
    const { core } = rig;
    const memory = new Uint8Array(core.memory.buffer);
    const tick = (nowUs: number): void => {
      this.capture.look(memory, nowUs);
      core.tick(nowUs);
    };
    Object.assign(rig, { core: { ...core, tick } });
  }

  /** Ends the run and makes the file. */
  end({ block }: GoodFile): Uint8Array {
    const { controller, capture, fresh } = this;
    for (let i = 0; i < AFTER_TICKS; i++) controller.run(openConnectors(), TICK_US);
    controller.rig.idle(STORING_PASSES);
    const pages = splitPages(controller.rig.flash.read(FLASH.logStart, FLASH.logEnd - FLASH.logStart));
    const end = pages.findIndex((page) => page[0] === BLANK);
    return runFileBytes({
      settings: { fingerprint: FINGERPRINT, block },
      ...(capture.run ? { exact: streamBytes(capture.run, fresh) } : {}),
      pages: pages.slice(0, end),
    });
  }
}
