// Work in flash: interrupts wait for it, so pulses are missed, and what was known by their times is not known any more.
import { flashErase, flashProgram } from "./board";
import { forgetConfirmed } from "./speed";

/** Erases the sector at `offset`. Only in mode off. */
export function eraseSector(offset: u32): void {
  flashErase(offset);
  forgetConfirmed();
}

/** Programs the page at `offset` from core memory. Only in mode off. */
export function programPage(offset: u32, address: usize): void {
  flashProgram(offset, address);
  forgetConfirmed();
}
