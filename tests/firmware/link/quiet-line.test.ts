// When slow work on flash is done: after 30 ms without a byte and then in every pass, and after a thousand passes without a byte
// on a line that is never quiet for so long. What is counted are passes of the main loop, one a millisecond.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { MOST_HELD_PASSES, QUIET_PASSES } from "#shared-schema/link/messages.ts";
import { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import { GOOD_POINT, smallSettings } from "../../oracle/stand.ts";
import { coreOn } from "../../support/core.ts";
import { runs } from "../../support/effort.ts";
import { FailingFlash } from "../../support/failing-flash.ts";
import { Random } from "../../support/random.ts";

/** A zero byte ends nothing, but it is a byte. */
const BYTE = Uint8Array.of(0);

/** A core that has hundreds of sectors to erase, one for each piece of work. */
class Eraser {
  private readonly rig;
  private erases = 0;

  constructor(batteryMv = 0) {
    const flash = new FailingFlash(new Random(1));
    this.rig = coreOn(flash);
    this.rig.start();
    new Car(this.rig, smallSettings(), { ...GOOD_POINT, batteryMv }, 1000).tick();
    this.rig.idle(2 * QUIET_PASSES);
    new Device(this.rig).ask("logErase");
    flash.onOperation = ({ kind }) => {
      if (kind === "erase") this.erases++;
      return undefined;
    };
  }

  /** One pass with a byte, or without; how many sectors were erased in it. */
  pass(byte: boolean): number {
    const before = this.erases;
    if (byte) this.rig.exchange(BYTE);
    else this.rig.core.serve(0);
    return this.erases - before;
  }
}

describe("slow work", () => {
  test.prop([fc.array(fc.integer({ min: 0, max: 2 * QUIET_PASSES }), { maxLength: 12 })], runs(60))(
    "waits until no byte has come for 30 ms, and then goes on in every pass",
    (pauses) => {
      const eraser = new Eraser();
      for (const pause of pauses) {
        for (let quiet = 1; quiet <= pause; quiet++)
          expect(eraser.pass(false), `pass ${quiet} without a byte`).toBe(quiet < QUIET_PASSES ? 0 : 1);
        expect(eraser.pass(true)).toBe(0);
      }
    },
  );

  test.each([5, QUIET_PASSES])(
    "is done after a thousand passes without a byte on a line with one in every %i. pass",
    (every) => {
      const eraser = new Eraser();
      let [waited, done] = [0, 0];
      for (let pass = 1; done < 3; pass++) {
        const byte = pass % every === 0;
        if (!byte) waited++;
        const erased = eraser.pass(byte);
        expect(erased).toBe(!byte && waited === MOST_HELD_PASSES ? 1 : 0);
        if (erased) [waited, done] = [0, done + 1];
      }
    },
  );

  test.each([
    [0, true],
    [1000, true],
    [1005, false],
    [5000, false],
    [8995, false],
    [9000, true],
    [12_600, true],
  ])(
    "with %i mV at the battery is done: %s; under 9 V it dips, and with next to nothing the board lies on a bench",
    (batteryMv, done) => {
      const eraser = new Eraser(batteryMv);
      let erased = 0;
      for (let pass = 0; pass < 2 * QUIET_PASSES; pass++) erased += eraser.pass(false);
      expect(erased > 0).toBe(done);
    },
  );

  test("begins after a start when the battery has been measured, not in the passes before it", () => {
    const flash = new FailingFlash(new Random(1));
    const rig = coreOn(flash);
    let erases = 0;
    flash.onOperation = ({ kind }) => {
      if (kind === "erase") erases++;
      return undefined;
    };
    rig.start();
    const UNMEASURED_PASSES = 3;
    rig.idle(UNMEASURED_PASSES);
    expect(erases).toBe(0);
    rig.idle();
    expect(erases).toBeGreaterThan(0);
  });
});
