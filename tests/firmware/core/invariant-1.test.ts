// The first fifth of the invariant's random ticks.
import { invariant } from "./invariant.ts";

invariant(1);
