// A rehearsal on the core rig as a run file: the log that the core has stored of it, with all that it has read.
import { openConnectors } from "#host/bench/loop/connectors.ts";
import type { RigController } from "#host/bench/loop/rig-controller.ts";
import { runFileBytes } from "#host/logbook/run-file/run-file.ts";
import { splitPages } from "#host/logbook/run-file/saved-pages.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { FLASH, TICK_US } from "#shared-schema/model/blocks.ts";
import type { GoodFile } from "../settings/settings-file.ts";
import { releasedCrc } from "./controllers.ts";

/** The core records for half a second after the run, and then stores a page or erases a sector in each pass. */
const AFTER_TICKS = 600;
const STORING_PASSES = 4000;
const BLANK = 0xff;

/** Keeps a run of a controller from now on. */
export class Keeper {
  private readonly controller: RigController;

  constructor(controller: RigController) {
    this.controller = controller;
    controller.rig.keepsTicks = true;
    controller.rig.boot.set("imageCrc", releasedCrc());
  }

  /** Ends the run and makes the file. */
  end({ block }: GoodFile): Uint8Array {
    const { rig } = this.controller;
    for (let i = 0; i < AFTER_TICKS; i++) this.controller.run(openConnectors(), TICK_US);
    rig.idle(STORING_PASSES);
    const pages = splitPages(rig.flash.read(FLASH.logStart, FLASH.logEnd - FLASH.logStart));
    return runFileBytes({
      settings: { fingerprint: FINGERPRINT, block },
      pages: pages.filter((page) => page[0] !== BLANK),
    });
  }
}
