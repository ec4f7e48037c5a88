// Limits of the drains' voltages by which the core judges a driver, as codes of their converter.
import { SUPPLY_MV_PER_CODE } from "./blocks.ts";

/** A conducting driver pulls its drain below this; a shorted one too, without being told to. */
const CONDUCTING_MV = 1_200;
/** An open load leaves the drain at the converter's bias, between conducting and this. */
const LOADED_MV = 4_500;

export const DRAIN_CODES = {
  conducting: CONDUCTING_MV / SUPPLY_MV_PER_CODE,
  loaded: LOADED_MV / SUPPLY_MV_PER_CODE,
} as const;
