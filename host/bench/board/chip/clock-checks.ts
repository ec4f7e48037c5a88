// The clock tree: the package computes frequencies from any registers; here a source that would not run on silicon is refused.
import type { RP2040 } from "rp2040js";
import { refuse } from "./fault.ts";

// PD, POSTDIVPD and VCOPD; DSMPD stays set, its modulator is not used.
const PLL_POWER_DOWN = 0x29;
const VCO_MIN_HZ = 750e6;
const VCO_MAX_HZ = 1600e6;
const CLK_REF_XOSC = 2;
const AUX_PLL_SYS = 0;

interface PllRegisters {
  readonly pwr: number;
  readonly cs: number;
  readonly fbdivInt: number;
}

interface ClockRegisters {
  readonly sysCtrl: number;
  readonly refCtrl: number;
}

/** What the checks ask: refuses unless the crystal may be relied on for `what`. */
export type CrystalCheck = (what: string) => void;

/** Starts the chip on its ring oscillator, with clk_peri stopped, and checks each change of the clock tree; then calls `changed`. */
export function checkClocks(chip: RP2040, ringHz: number, crystal: CrystalCheck, changed: () => void): void {
  chip.roscFreq = ringHz;
  chip.clkSys = ringHz;
  chip.clkPeri = 0;
  const update = chip.updateClocks.bind(chip);
  chip.updateClocks = () => {
    checkSources(chip, crystal);
    update();
    changed();
  };
}

function checkSources(chip: RP2040, crystal: CrystalCheck): void {
  const { sysCtrl, refCtrl } = chip.clocks as unknown as ClockRegisters;
  if ((refCtrl & 3) === CLK_REF_XOSC) crystal("clk_ref");
  if ((sysCtrl & 1) === 0) return;
  if (((sysCtrl >> 5) & 7) !== AUX_PLL_SYS) refuse("clk_sys taken from a source that is not modelled");
  crystal("clk_sys");
  checkPll(chip);
}

function checkPll(chip: RP2040): void {
  const { pwr, cs, fbdivInt } = chip.pllSys as unknown as PllRegisters;
  if ((pwr & PLL_POWER_DOWN) !== 0) refuse("clk_sys taken from a PLL that is powered down");
  const vco = (chip.xoscFreq / (cs & 0x3f)) * fbdivInt;
  if (vco < VCO_MIN_HZ || vco > VCO_MAX_HZ) refuse(`PLL oscillator at ${vco} Hz is out of its range`);
}
