/** How a caution is said while a plan is looked through. */
import type { Caution } from "../system-plan.ts";

/** Takes one caution. */
export type Say = (caution: Caution) => void;
