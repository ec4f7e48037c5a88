// One seed for every property, so that a red run is the doing of the change under test; HEADGATE_SEED=random explores.
import fc from "fast-check";

const wanted = process.env.HEADGATE_SEED ?? "20261125";
if (wanted !== "random") fc.configureGlobal({ ...fc.readConfigureGlobal(), seed: Number(wanted) });
