// The run log's records in their ring.
enum { EVERY_US = LOG_EVERY_MS * 1000, AFTER_US = 500000, RUN_UNIT_US = 10000 };
/** Parts of 2^18, rounded up: exact for 16 bits while the result stays under 256. */
enum { FIFTH = 52429, TENTH = 26215, FIFTIETH = 5243 };

static u8 small(u32 value, u32 part) { return (u8)least((value * part) >> 18, 255); }

struct record {
  u16 time, reasons_low, reasons_high, engine, road, manifold;
  u8 bottle, fuel, lambda, battery, throttle, switches, mode, trip, share[STAGES], outputs, retard;
};
_Static_assert(sizeof(struct record) == LOG_RECORD_BYTES, "a record is packed");

static void put_record(void) {
  struct record *r = (struct record *)log_ring + recorder.written % LOG_RECORDS;
  r->time = (u16)least(recorder.run_us / RUN_UNIT_US, UINT16_MAX);
  r->reasons_low = (u16)live.reasons;
  r->reasons_high = (u16)(live.reasons >> 16);
  r->engine = live.engineRpm;
  r->road = live.roadDeciKmh;
  r->manifold = live.manifoldDeciKpa;
  r->bottle = small(live.bottleKpaGauge, FIFTIETH);
  r->fuel = small(live.fuelDeciKpaGauge, FIFTIETH);
  r->lambda = small(live.milliLambda, TENTH);
  r->battery = small(live.batteryMv >> 1, FIFTIETH);
  r->throttle = small(live.throttlePermille, FIFTH);
  r->switches = (u8)inputs.switches;
  r->mode = live.mode;
  r->trip = live.trip;
  for (u32 s = 0; s < STAGES; s++) r->share[s] = small(live.sharePermille[s], FIFTH);
  r->outputs = (u8)outputs.flags;
  r->retard = (u8)least(live.retardDeciDeg >> 1, 255);
  recorder.written++;
}

static void record_run(void) {
  if (m.mode == MODE_ARMING && recorder.last_mode != MODE_ARMING)
    recorder = (struct recorder){.phase = 1, .last_mode = recorder.last_mode};
  if (recorder.phase == 1) {
    recorder.run_us += m.dt_us;
    recorder.rest_us += m.dt_us;
    bool due = recorder.rest_us >= EVERY_US;
    if (due) recorder.rest_us -= EVERY_US;
    if (due || recorder.last_mode != m.mode) put_record();
    recorder.after_us = is_armed() ? 0 : recorder.after_us + m.dt_us;
    if (recorder.after_us > AFTER_US) recorder.phase = 2;
  }
  recorder.last_mode = m.mode;
}
